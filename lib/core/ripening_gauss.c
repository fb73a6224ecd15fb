/* Gauss rules of discrete measures.  See ripening_gauss.h. */
#include "core/ripening_gauss.h"

#include <float.h>
#include <math.h>

#define CLOSE_ENOUGH 1e-9

enum { SWEEPS = 60 };

/* A symmetric tridiagonal matrix, and the first row of its eigenvectors. */
struct jacobi {
    double diagonal[PB_RIPENING_GAUSS_MAX];
    double beside[PB_RIPENING_GAUSS_MAX]; /* [i] couples i and i + 1 */
    double head[PB_RIPENING_GAUSS_MAX];
};

/*
 * The recurrence coefficients, as many as are needed.  The error of k nodes is
 * f^(2k) / (2k)! times the squared norm of the k-th monic polynomial, and the derivatives
 * of Phi obey |Phi^(m)| <= 0.44 sqrt((m - 1)!) (Cramer's bound on Hermite functions).
 */
static size_t stieltjes(const double *weights, size_t n, double step, double *scratch,
                        struct jacobi *m)
{
    double *now = scratch, *before = scratch + n;
    double middle = 0.5 * (double)(n - 1), norm = 1, last_norm = 1, bound = 0.44;
    for (size_t i = 0; i < n; i++) {
        now[i] = 1;
        before[i] = 0;
    }
    for (size_t k = 0;; k++) {
        double moment = 0, next_norm = 0, beta = k > 0 ? norm / last_norm : 0;
        for (size_t i = 0; i < n; i++)
            moment += weights[i] * now[i] * now[i] * ((double)i - middle);
        double alpha = moment / norm;
        for (size_t i = 0; i < n; i++) {
            double next = ((double)i - middle - alpha) * now[i] - beta * before[i];
            before[i] = now[i];
            now[i] = next;
            next_norm += weights[i] * next * next;
        }
        m->diagonal[k] = alpha;
        m->beside[k] = sqrt(next_norm / norm);
        last_norm = norm;
        norm = next_norm;
        /* bound: 0.44 sqrt((2j-1)!) / (2j)! of j = k + 1, times the norm in units of z */
        double j = (double)k + 1, ratio = next_norm / last_norm * step * step;
        bound *= ratio / (2 * j * (2 * j - 1)) * sqrt((2 * j - 1) * fmax(1, 2 * j - 2));
        if (bound < CLOSE_ENOUGH || k + 1 == PB_RIPENING_GAUSS_MAX)
            return k + 1;
    }
}

/* One implicit QL sweep over [low, high]. */
static void sweep(struct jacobi *m, size_t low, size_t high)
{
    double *d = m->diagonal, *e = m->beside, *z = m->head;
    double g = (d[low + 1] - d[low]) / (2 * e[low]);
    double s = 1, c = 1, p = 0;
    g = d[high] - d[low] + e[low] / (g + copysign(sqrt(g * g + 1), g));
    for (size_t next = high; next > low; next--) {
        size_t i = next - 1;
        double f = s * e[i], b = c * e[i], r = sqrt(f * f + g * g);
        e[i + 1] = r;
        if (r < DBL_MIN) {
            d[i + 1] -= p;
            e[high] = 0;
            return;
        }
        s = f / r;
        c = g / r;
        g = d[i + 1] - p;
        r = (d[i] - g) * s + 2 * c * b;
        p = s * r;
        d[i + 1] = g + p;
        g = c * r - b;
        f = z[i + 1];
        z[i + 1] = s * z[i] + c * f;
        z[i] = c * z[i] - s * f;
    }
    d[low] -= p;
    e[low] = g;
    e[high] = 0;
}

/* The last row that hangs together with row `low`. */
static size_t block_end(const struct jacobi *m, size_t low, size_t n)
{
    size_t high = low;
    while (high + 1 < n) {
        double size = fabs(m->diagonal[high]) + fabs(m->diagonal[high + 1]);
        if (fabs(m->beside[high]) <= DBL_EPSILON * size)
            break;
        high++;
    }
    return high;
}

/* Eigenvalues into diagonal, first components of the eigenvectors into head. */
static void diagonalise(struct jacobi *m, size_t n)
{
    for (size_t i = 0; i < n; i++)
        m->head[i] = i == 0;
    for (size_t low = 0; low < n; low++)
        for (int k = 0; k < SWEEPS; k++) {
            size_t high = block_end(m, low, n);
            if (high == low)
                break;
            sweep(m, low, high);
        }
}

size_t pb_ripening_gauss(const double *weights, size_t n, double first, double step,
                         double *scratch,
                         struct pb_ripening_node out[PB_RIPENING_GAUSS_MAX])
{
    struct jacobi m;
    size_t k = stieltjes(weights, n, step, scratch, &m);
    double middle = first + 0.5 * (double)(n - 1) * step;
    diagonalise(&m, k);
    for (size_t i = 0; i < k; i++)
        out[i] = (struct pb_ripening_node){middle + m.diagonal[i] * step,
                                           m.head[i] * m.head[i]};
    return k;
}
