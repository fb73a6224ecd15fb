/* One record, whole.  See print.h. */
#include "print.h"
#include "print_batch.h"
#include "print_shoot.h"

#include "act/due.h"
#include "act/find.h"
#include "act/lifeline.h"
#include "base/text.h"
#include "out.h"

#include <stdlib.h>
#include <string.h>

/* The happenings of a list under a title; nothing of an empty one. */
static void print_lifeline(const char *title, const struct pb_lifeline *list)
{
    int width = 0;
    struct pb_buf lead;
    pb_buf_init(&lead, 4096);
    for (size_t i = 0; i < list->n; i++) {
        int n = (int)strlen(list->v[i].code);
        width = n > width ? n : width;
    }
    if (list->n > 0)
        say("%s", title);
    for (size_t i = 0; i < list->n; i++) {
        const struct pb_happening *h = &list->v[i];
        char day[DAY_TEXT];
        pb_buf_reset(&lead);
        pb_buf_printf(&lead, "  %-14s  %-*s%s",
                      h->on != PB_DAY_NONE ? day_text(h->on, day) : "day not known",
                      width, h->code, width > 0 ? "  " : "");
        say_wrapped(whole(&lead), lead.len, h->text);
    }
    pb_buf_clear(&lead);
}

static enum pb_rc show_shoot(struct env *env, const struct pb_plant *p,
                             struct pb_err *err)
{
    struct pb_shoot s = {0};
    enum pb_rc rc = pb_shoot_make(&env->act, p, &s, err);
    if (rc == PB_OK)
        print_shoot(env, &s);
    pb_shoot_clear(&s);
    return rc;
}

static enum pb_rc show_plant(struct env *env, const char *code, struct pb_err *err)
{
    struct pb_plant p;
    struct pb_lifeline life = {0};
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(&env->act, NULL, code, &p, err);
    if (rc == PB_OK)
        rc = print_plant(env, &p, err);
    if (rc == PB_OK && !env->json)
        rc = pb_lifeline_plant(&env->act, &p, &life, err);
    if (rc == PB_OK && (life.n > 1 || p.got == PB_DAY_NONE)) /* that day stands above */
        print_lifeline("Its life:", &life);
    pb_lifeline_clear(&life);
    if (rc == PB_OK && !env->json)
        rc = show_shoot(env, &p, err);
    pb_plant_clear(&p);
    return rc;
}

/* A look or a harvest, in the order of their days. */
struct event {
    pb_day on;
    const struct pb_look *look; /* NULL: a harvest */
    const struct pb_harvest *harvest;
};

/* On one day looks come before harvests, and each kind by its number. */
static int by_day(const void *pa, const void *pb)
{
    const struct event *a = pa, *b = pb;
    if (a->on != b->on)
        return a->on < b->on ? -1 : 1;
    if ((a->look != NULL) != (b->look != NULL))
        return a->look != NULL ? -1 : 1;
    int na = a->look != NULL ? a->look->number : a->harvest->number;
    int nb = b->look != NULL ? b->look->number : b->harvest->number;
    return (na > nb) - (na < nb);
}

static void print_event(const struct event *e)
{
    char day[DAY_TEXT];
    (void)day_text(e->on, day);
    if (e->look != NULL)
        say("  %s  /%-3d %3d %s%s%s", day, e->look->number, e->look->count,
            pb_found_names[e->look->found], e->look->note != NULL ? "  " : "",
            e->look->note != NULL ? e->look->note : "");
    else
        say("  %s  harvest %d %s%s%s%s", day, e->harvest->count,
            pb_as_names[e->harvest->as], e->harvest->held_cold ? ", held cold" : "",
            e->harvest->lot[0] != '\0' ? "  " : "", e->harvest->lot);
}

static enum pb_rc print_events(const struct pb_cross *x, struct pb_err *err)
{
    size_t n = x->look_n + x->harvest_n;
    struct event *events = calloc(n + 1, sizeof(*events));
    if (events == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < x->look_n; i++)
        events[i] = (struct event){x->looks[i].on, &x->looks[i], NULL};
    for (size_t i = 0; i < x->harvest_n; i++)
        events[x->look_n + i] =
            (struct event){x->harvests[i].on, NULL, &x->harvests[i]};
    qsort(events, n, sizeof(*events), by_day);
    for (size_t i = 0; i < n; i++)
        print_event(&events[i]);
    free(events);
    return PB_OK;
}

static void print_facts(const struct pb_cross *x)
{
    char day[DAY_TEXT];
    if (x->flower_age >= 0)
        say("  flowers open for %d day%s", x->flower_age,
            x->flower_age == 1 ? "" : "s");
    for (size_t i = 0; i < x->pollen_n; i++)
        if (x->pollen[i].lot[0] != '\0' && x->pollen[i].age_days >= 0)
            say("  pollen of %s, stored for %d day%s", x->pollen[i].lot,
                x->pollen[i].age_days, x->pollen[i].age_days == 1 ? "" : "s");
    if (x->own_pollen != PB_OWN_NOT_SAID)
        say("  own pollen %s", pb_own_pollen_names[x->own_pollen]);
    if (x->grex != NULL)
        say("  grex %s", x->grex);
    if (x->bagged != PB_DAY_NONE)
        say("  bagged on %s", day_text(x->bagged, day));
    if (x->head.origin_code[0] != '\0')
        say("  called %s where it came from", x->head.origin_code);
    if (x->note != NULL)
        say_wrapped("  ", 2, x->note);
}

static enum pb_rc show_cross(struct env *env, const char *code, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_outlook o;
    struct pb_lifeline came = {0};
    struct pb_buf b;
    pb_cross_init(&x);
    pb_outlook_init(&o);
    pb_buf_init(&b, 4096);
    enum pb_rc rc = pb_find_cross(&env->act, NULL, code, &x, err);
    if (rc == PB_OK)
        rc = pb_outlook_make(&env->act, &x, &o, err);
    if (rc == PB_OK && env->json)
        rc = print_cross_json(env, &x, &o, err);
    else if (rc == PB_OK) {
        print_tag(&x);
        print_facts(&x);
        rc = print_doubts(env, PB_CROSS, x.head.n, err);
    }
    if (rc == PB_OK && !env->json) {
        life_text(&o.life, &b);
        say("\nNow: %s", o.conflict ? "its looks contradict each other" : whole(&b));
        rc = print_events(&x, err);
    }
    if (rc == PB_OK && !env->json)
        rc = pb_lifeline_cross(&env->act, &x, &came, err);
    if (rc == PB_OK && !env->json) {
        print_lifeline("What came of it:", &came);
        print_next(&x, &o, env->act.today);
        say("%s", "");
        print_windows(&x, &o);
    }
    pb_buf_clear(&b);
    pb_lifeline_clear(&came);
    pb_outlook_clear(&o);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc show_batch(struct env *env, const char *code, struct pb_err *err)
{
    struct pb_batch b;
    struct pb_lifeline came = {0};
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_find_batch(&env->act, NULL, PB_KIND_N, code, &b, err);
    if (rc == PB_OK)
        rc = print_batch(env, &b, err);
    if (rc == PB_OK && !env->json)
        rc = pb_lifeline_batch(&env->act, &b, &came, err);
    if (rc == PB_OK)
        print_lifeline("What came of it:", &came);
    pb_lifeline_clear(&came);
    pb_batch_clear(&b);
    return rc;
}

/* A look is told before the record that it is of. */
static enum pb_rc tell_look(struct env *env, enum pb_kind kind, const char *code,
                            struct pb_err *err)
{
    struct pb_look look;
    char day[DAY_TEXT];
    pb_look_init(&look);
    enum pb_rc rc = pb_find_look(&env->act, code, &look, err);
    if (rc == PB_OK && !env->json)
        say("Look %s: %s on %s.  The record it is of:\n", code,
            pb_courses[kind].findings[look.found].word, day_text(look.on, day));
    pb_look_clear(&look);
    return rc;
}

enum pb_rc print_record(struct env *env, const char *code, struct pb_err *err)
{
    char bare[PB_BARE_CODE];
    int look = 0;
    enum pb_kind kind = pb_code_kind(code, &look);
    pb_code_bare(code, bare);
    enum pb_rc rc =
        look > 0 && kind < PB_KIND_N ? tell_look(env, kind, code, err) : PB_OK;
    if (rc != PB_OK)
        return rc;
    if (kind == PB_PLANT)
        return show_plant(env, bare, err);
    if (kind == PB_CROSS)
        return show_cross(env, bare, err);
    if (kind < PB_KIND_N)
        return show_batch(env, bare, err);
    return pb_not_found(&env->act, NULL, PB_CODES_RECORD, code, err);
}
