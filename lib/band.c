#include "band.h"

#include <math.h>
#include <string.h>

#define ERROR_MAX 50.0
#define PRIOR_COUNT 20
#define PRIOR_WEIGHT 0.5 /* each; ten errors in all */
#define KIND_WEIGHT 20.0 /* errors of a kind that count as much as all kinds */
#define P_MIN 0.005

/* Student's t with 4 degrees at 0.025, 0.075 … 0.975. */
static const double prior[PRIOR_COUNT] = {
    -2.776, -1.780, -1.344, -1.058, -0.840, -0.659, -0.500, -0.350, -0.206, -0.067,
    0.067,  0.206,  0.350,  0.500,  0.659,  0.840,  1.058,  1.344,  1.780,  2.776};

/* First place whose value is not below. */
static int place_of(const float *sorted, int count, float value)
{
    int low = 0;
    int high = count;

    while (low < high) {
        int middle = (low + high) / 2;

        if (sorted[middle] < value)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void forget(struct coil_band_memory *memory, float value)
{
    int at = place_of(memory->sorted, memory->count, value);

    memory->count--;
    memmove(&memory->sorted[at], &memory->sorted[at + 1],
            (size_t)(memory->count - at) * sizeof memory->sorted[0]);
}

void coil_band_remember(struct coil_band_memory *memory, double error)
{
    float value = (float)fmax(-ERROR_MAX, fmin(ERROR_MAX, error));
    int at;

    if (isnan(error))
        return;
    if (memory->count == COIL_BAND_MEMORY)
        forget(memory, memory->ring[memory->next]);
    at = place_of(memory->sorted, memory->count, value);
    memmove(&memory->sorted[at + 1], &memory->sorted[at],
            (size_t)(memory->count - at) * sizeof memory->sorted[0]);
    memory->sorted[at] = value;
    memory->count++;
    memory->ring[memory->next] = value;
    memory->next = (memory->next + 1) % COIL_BAND_MEMORY;
}

/* One order of remembered and assumed errors, walked from the nearer end: sign -1 turns
 * all errors around. */
struct walk {
    const struct coil_band_memory *memory;
    double sign;
    int own;   /* remembered errors passed */
    int given; /* assumed errors passed; they are symmetric */
};

static double step(struct walk *walk, double *out_weight)
{
    const struct coil_band_memory *memory = walk->memory;
    double own = INFINITY;
    double given = walk->given < PRIOR_COUNT ? prior[walk->given] : INFINITY;

    if (walk->own < memory->count)
        own = walk->sign > 0.0 ? (double)memory->sorted[walk->own]
                               : -(double)memory->sorted[memory->count - 1 - walk->own];
    if (own <= given) {
        walk->own++;
        *out_weight = 1.0;
        return own;
    }
    walk->given++;
    *out_weight = PRIOR_WEIGHT;
    return given;
}

/* Each error stands at the middle of its weight; between two the quantile is a straight
 * line. */
double coil_band_quantile(const struct coil_band_memory *memory, double p)
{
    struct walk walk = {memory, p > 0.5 ? -1.0 : 1.0, 0, 0};
    double tail = fmax(P_MIN, fmin(1.0 - P_MIN, p > 0.5 ? 1.0 - p : p));
    double target = tail * (memory->count + PRIOR_COUNT * PRIOR_WEIGHT);
    double weight, value, last, at, last_at;

    value = step(&walk, &weight);
    last = value;
    at = 0.5 * weight;
    last_at = at;
    while (at < target) { /* tail is at most a half: the end is never reached */
        double before = weight;

        last = value;
        last_at = at;
        value = step(&walk, &weight);
        at += 0.5 * (before + weight);
    }
    if (at > last_at)
        value = last + (value - last) * (target - last_at) / (at - last_at);
    return walk.sign * value;
}

double coil_band_quantile_of(const struct coil_band_memory *kind,
                             const struct coil_band_memory *all, double p)
{
    double share = kind->count / (kind->count + KIND_WEIGHT);

    return share * coil_band_quantile(kind, p) +
           (1.0 - share) * coil_band_quantile(all, p);
}
