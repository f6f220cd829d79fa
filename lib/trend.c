#include "trend.h"

#include <math.h>

#define PAIR_MAX (COIL_TREND_MAX * (COIL_TREND_MAX - 1) / 2)

void coil_sort(double *value, size_t count)
{
    for (size_t gap = count / 2; gap > 0; gap /= 2) {
        for (size_t i = gap; i < count; i++) {
            double moved = value[i];
            size_t at = i;

            for (; at >= gap && value[at - gap] > moved; at -= gap)
                value[at] = value[at - gap];
            value[at] = moved;
        }
    }
}

/*
 * out_tail[k] becomes the chance that at most k of the pairs of `count` values in
 * random order fall, for k from 0 to all pairs.
 */
static void tail_of_falls(size_t count, double *out_tail)
{
    size_t pairs = count * (count - 1) / 2;
    double next[PAIR_MAX + 1];

    for (size_t k = 0; k <= pairs; k++)
        out_tail[k] = k == 0 ? 1.0 : 0.0;
    /* The n-th value falls below 0 to n - 1 of the earlier ones, all equally likely. */
    for (size_t n = 2; n <= count; n++) {
        for (size_t k = 0; k <= pairs; k++) {
            double sum = 0.0;

            for (size_t j = 0; j < n && j <= k; j++)
                sum += out_tail[k - j];
            next[k] = sum / (double)n;
        }
        for (size_t k = 0; k <= pairs; k++)
            out_tail[k] = next[k];
    }
    for (size_t k = 1; k <= pairs; k++)
        out_tail[k] += out_tail[k - 1];
}

/* Fills slopes of all pairs, per year, and counts; time ascending. */
static int pair_slopes(const double *time_s, const double *value, size_t count,
                       double *out_slope)
{
    size_t pair = 0;
    int s = 0;

    for (size_t i = 0; i < count; i++) {
        for (size_t j = i + 1; j < count; j++) {
            double rise = value[j] - value[i];

            s += (rise > 0.0) - (rise < 0.0);
            out_slope[pair++] = rise * (COIL_YEAR_S / (time_s[j] - time_s[i]));
        }
    }
    return s;
}

/* The smallest s whose chance of s or more is at most alpha; pairs + 2 when none. */
static size_t critical_s(const double *tail, size_t pairs, double alpha)
{
    size_t falls = 0;

    if (tail[0] > alpha)
        return pairs + 2;
    while (falls + 1 <= pairs / 2 && tail[falls + 1] <= alpha)
        falls++;
    return pairs - 2 * falls;
}

static void interval(const double *slope, size_t pairs, size_t critical,
                     struct coil_trend *out)
{
    size_t below;

    out->has_interval = critical <= pairs && critical >= 2;
    if (!out->has_interval)
        return;
    below = (pairs - (critical - 2)) / 2; /* 1 at least */
    out->slope_low_per_year = slope[below - 1];
    out->slope_high_per_year = slope[pairs - below];
}

static enum coil_status refuse(const double *time_s, const double *value, size_t count,
                               double false_alarm)
{
    if (!isfinite(false_alarm))
        return COIL_ERR_NOT_FINITE;
    if (count < COIL_TREND_MIN || count > COIL_TREND_MAX || false_alarm < 1e-4 ||
        false_alarm > 0.5)
        return COIL_ERR_DOMAIN;
    for (size_t i = 0; i < count; i++)
        if (!isfinite(time_s[i]) || !isfinite(value[i]))
            return COIL_ERR_NOT_FINITE;
    for (size_t i = 1; i < count; i++)
        if (time_s[i] <= time_s[i - 1])
            return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_trend_mann_kendall(const double *time_s, const double *value,
                                         size_t count, double false_alarm,
                                         struct coil_trend *out)
{
    enum coil_status status = refuse(time_s, value, count, false_alarm);
    double tail[PAIR_MAX + 1];
    double slope[PAIR_MAX];
    size_t pairs;

    if (status != COIL_OK)
        return status;
    pairs = count * (count - 1) / 2;
    *out = (struct coil_trend){.s = pair_slopes(time_s, value, count, slope)};
    coil_sort(slope, pairs);
    tail_of_falls(count, tail);
    /* s = pairs - 2 falls; with equal values s can lie between: round towards 0. */
    out->p_rising = tail[(size_t)((int)pairs - out->s + 1) / 2];
    out->p_falling = tail[(size_t)((int)pairs + out->s + 1) / 2];
    out->can_tell = tail[0] <= false_alarm / 2.0;
    if (out->p_rising <= false_alarm / 2.0)
        out->direction = COIL_RISING;
    else if (out->p_falling <= false_alarm / 2.0)
        out->direction = COIL_FALLING;
    out->slope_per_year = 0.5 * (slope[(pairs - 1) / 2] + slope[pairs / 2]);
    interval(slope, pairs, critical_s(tail, pairs, false_alarm / 2.0), out);
    return COIL_OK;
}
