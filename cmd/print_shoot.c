/* A plant after its flowering, for people.  See print_shoot.h. */
#include "print_shoot.h"

#include "act/due.h"
#include "out.h"
#include "print.h"
#include "print_batch.h"

void print_shoot(const struct env *env, const struct pb_shoot *s)
{
    char day[DAY_TEXT];
    if (s->flowering.number == 0)
        return;
    say("  flowering %d ended on %s: %s", s->flowering.number, day_text(s->start, day),
        pb_shoot_state(s));
    if (s->conflict)
        say("  its looks contradict each other; amend or withdraw the wrong one");
    for (size_t i = 0; i < s->tasks.n; i++)
        if (!s->tasks.v[i].done)
            print_task(env, &s->tasks.v[i], pb_task_words(s->tasks.v[i].kind, false));
}

enum pb_rc print_shoot_after(struct env *env, const struct pb_plant *p,
                             struct pb_err *err)
{
    struct pb_shoot s = {0};
    if (env->json)
        return print_plant(env, p, err);
    enum pb_rc rc = pb_shoot_make(&env->act, p, &s, err);
    if (rc == PB_OK) {
        say("%s  %s", p->head.code, p->taxon);
        print_shoot(env, &s);
    }
    pb_shoot_clear(&s);
    return rc;
}
