#include "chlorine_filter.h"

#include <math.h>

#define N COIL_FIT_CHLORINE_STATES
#define M COIL_FIT_PH_STATES

/* How unsteady a pool is (per day or per root of a day); conventions of ours, stretched
 * by what each pool's errors turn out to be. */
#define CHLORINE_RELATIVE_SD 0.10
#define CHLORINE_MG_PER_L_SD 0.15
#define SUN_DAY_SD 0.35 /* of a day's loss to the sun: weather */
#define PH_SD 0.04
#define DOSE_SD 0.15 /* strength, amount and volume are not known better */
#define DOSE_PH_SD 0.3
#define UNKNOWN_Y_SD 1.5
#define UNKNOWN_PH_SD 0.5
/* Parameters wander by this much per root of a day, up to PARAMETER_SD. */
#define WANDER_LN 0.02
#define WANDER_DEMAND 0.04
#define WANDER_PH_END 0.03
#define MAX_LN_SD 1.2
#define MAX_DEMAND_SD 3.0
#define MAX_PH_END_SD 0.6
/* Of an odd error, this part is taken for a change of the pool, the rest for a bad
 * reading. */
#define ODD_IS_REAL 0.8
#define ODD_FITS 2.0

double coil_filter_chlorine_sd(double resolution, double near_mg_per_l)
{
    double relative = (resolution < 0.4 ? 0.05 : 0.10) * near_mg_per_l;

    return sqrt(0.12 * resolution * resolution + relative * relative + 0.0009) /
           (near_mg_per_l + 0.5);
}

double coil_filter_ph_sd(double resolution)
{
    return sqrt(0.12 * resolution * resolution + 0.0016);
}

/* ---- linear algebra of n by n, stored with the width of the larger filter ---- */

/* p = F p F' where F is the identity but for its row 0, f. */
static void carry(double *p, int n, const double *f)
{
    double row[N];

    for (int j = 0; j < n; j++) {
        row[j] = 0.0;
        for (int k = 0; k < n; k++)
            row[j] += f[k] * p[k * n + j];
    }
    for (int j = 1; j < n; j++) {
        p[j] = row[j];
        p[j * n] = row[j];
    }
    p[0] = 0.0;
    for (int k = 0; k < n; k++)
        p[0] += row[k] * f[k];
}

/* A measurement of state 0. Returns the error in deviations. */
static double measure(double *x, double *p, int n, double value, double sd)
{
    double r = sd * sd;
    double off = value - x[0];
    double z = off / sqrt(p[0] + r);
    double gain[N];

    if (fabs(z) > COIL_FILTER_ODD) {
        double extra = (z * z / (ODD_FITS * ODD_FITS) - 1.0) * (p[0] + r);

        p[0] += ODD_IS_REAL * extra;
        r += (1.0 - ODD_IS_REAL) * extra;
    }
    for (int i = 0; i < n; i++)
        gain[i] = p[i * n] / (p[0] + r);
    for (int i = 0; i < n; i++)
        x[i] += gain[i] * off;
    for (int i = n - 1; i >= 0; i--)
        for (int j = n - 1; j >= 0; j--)
            if (j >= i) {
                p[i * n + j] -= gain[i] * p[j];
                p[j * n + i] = p[i * n + j];
            }
    return z;
}

static void wander(double *p, int n, int i, double sd_per_root_day, double days,
                   double max_sd)
{
    double *variance = &p[i * n + i];

    if (*variance < max_sd * max_sd)
        *variance += sd_per_root_day * sd_per_root_day * days;
}

static double clamp(double value, double low, double high)
{
    return fmin(high, fmax(low, value));
}

/* ---- chlorine ---- */

/* Change of chlorine over a stretch, with its slopes by the states. lambda is the whole
 * first-order loss. */
static double stretch(const struct coil_fit_chlorine *track, double *f)
{
    const double *x = track->x;
    double c0 = coil_fit_mg_per_l(x[COIL_FIT_Y]);
    double sun = exp(x[COIL_FIT_LN_SUN]) * track->sun;
    double doubling = exp(x[COIL_FIT_LN_DOUBLING]);
    double warmth = (track->days > 0.0 ? track->temp_days / track->days - 25.0 : 0.0);
    double dark = exp(x[COIL_FIT_LN_DARK]) * exp2(warmth / doubling) * track->days;
    double lambda = sun + dark;
    double keep = exp(-lambda);
    double mean = lambda < 1e-6 ? 1.0 - 0.5 * lambda : -expm1(-lambda) / lambda;
    double mean_slope = lambda < 1e-3 ? -0.5 + lambda / 3.0 : (keep - mean) / lambda;
    double demand = x[COIL_FIT_DEMAND];
    double present = 1.0;
    double c1, by_lambda;

    if (demand > 0.0) {
        double rough = fmax(0.05, c0 * keep - 0.5 * demand * track->days);

        present = rough / (rough + 0.2);
    }
    c1 = c0 * keep - demand * present * track->days * mean;
    by_lambda = -c0 * keep - demand * present * track->days * mean_slope;
    f[COIL_FIT_Y] = keep * (c0 + 0.5);
    f[COIL_FIT_LN_SUN] = by_lambda * sun;
    f[COIL_FIT_LN_DARK] = by_lambda * dark;
    f[COIL_FIT_LN_DOUBLING] =
        -by_lambda * dark * 0.6931471805599453 * warmth / doubling;
    f[COIL_FIT_DEMAND] = -present * track->days * mean;
    c1 = fmax(0.0, c1);
    for (int i = 0; i < N; i++)
        f[i] /= c1 + 0.5;
    return c1;
}

static double chlorine_noise(const struct coil_fit_chlorine *track, double c1)
{
    double days = track->days;
    double weather = SUN_DAY_SD * exp(track->x[COIL_FIT_LN_SUN]) * track->sun;
    double size = c1 / (c1 + 0.5);
    double absolute = CHLORINE_MG_PER_L_SD / (c1 + 0.5);

    /* Days of weather are taken as independent, the hours of one day are not. */
    weather = fmin(weather, 1.0) * size;
    return (CHLORINE_RELATIVE_SD * CHLORINE_RELATIVE_SD * size * size +
            absolute * absolute) *
               days +
           weather * weather / fmax(1.0, days);
}

static void hold_chlorine(struct coil_fit_chlorine *track)
{
    double *x = track->x;

    x[COIL_FIT_Y] = clamp(x[COIL_FIT_Y], coil_fit_scale(0.0), coil_fit_scale(500.0));
    x[COIL_FIT_LN_SUN] = clamp(x[COIL_FIT_LN_SUN], log(0.03), log(8.0));
    x[COIL_FIT_LN_DARK] = clamp(x[COIL_FIT_LN_DARK], log(0.002), log(2.0));
    x[COIL_FIT_LN_DOUBLING] = clamp(x[COIL_FIT_LN_DOUBLING], log(2.5), log(20.0));
    x[COIL_FIT_DEMAND] = clamp(x[COIL_FIT_DEMAND], -20.0, 20.0);
    for (int i = 0; i < N; i++)
        track->p[i][i] = clamp(track->p[i][i], 1e-8, 25.0);
}

void coil_filter_chlorine_close(struct coil_fit_chlorine *track, double noise)
{
    double f[N];
    double days = track->days;
    double c1;

    if (days <= 0.0)
        return;
    c1 = stretch(track, f);
    carry(&track->p[0][0], N, f);
    track->p[0][0] += noise * chlorine_noise(track, c1);
    track->x[COIL_FIT_Y] = coil_fit_scale(c1);
    wander(&track->p[0][0], N, COIL_FIT_LN_SUN, WANDER_LN, days, MAX_LN_SD);
    wander(&track->p[0][0], N, COIL_FIT_LN_DARK, WANDER_LN, days, MAX_LN_SD);
    wander(&track->p[0][0], N, COIL_FIT_DEMAND, WANDER_DEMAND, days, MAX_DEMAND_SD);
    hold_chlorine(track);
    track->sun = 0.0;
    track->days = 0.0;
    track->temp_days = 0.0;
}

/* Chlorine goes from before to after; its uncertainty follows, and sd_mg_per_l joins.
 */
static void step_chlorine(struct coil_fit_chlorine *track, double after_mg_per_l,
                          double slope, double sd_mg_per_l)
{
    double c0 = coil_fit_mg_per_l(track->x[COIL_FIT_Y]);
    double c1 = clamp(after_mg_per_l, 0.0, 500.0);
    double f[N] = {slope * (c0 + 0.5) / (c1 + 0.5)};
    double sd = sd_mg_per_l / (c1 + 0.5);

    carry(&track->p[0][0], N, f);
    track->p[0][0] += sd * sd;
    track->x[COIL_FIT_Y] = coil_fit_scale(c1);
    hold_chlorine(track);
}

void coil_filter_chlorine_dose(struct coil_fit_chlorine *track, double rise_mg_per_l)
{
    double c0 = coil_fit_mg_per_l(track->x[COIL_FIT_Y]);

    step_chlorine(track, c0 + rise_mg_per_l, 1.0, DOSE_SD * fabs(rise_mg_per_l));
}

void coil_filter_chlorine_fill(struct coil_fit_chlorine *track, double fraction)
{
    double c0 = coil_fit_mg_per_l(track->x[COIL_FIT_Y]);

    step_chlorine(track, c0 * (1.0 - fraction), 1.0 - fraction, 0.3 * fraction * c0);
}

void coil_filter_chlorine_lose(struct coil_fit_chlorine *track)
{
    track->p[0][0] += UNKNOWN_Y_SD * UNKNOWN_Y_SD;
    hold_chlorine(track);
}

/* Nothing known before: the reading is the state. */
static void start_at(double *x, double *p, int n, double value, double sd)
{
    for (int i = 1; i < n; i++) {
        p[i] = 0.0;
        p[i * n] = 0.0;
    }
    x[0] = value;
    p[0] = sd * sd;
}

double coil_filter_chlorine_read(struct coil_fit_chlorine *track, double y, double sd,
                                 bool is_first)
{
    double z = 0.0;

    if (is_first)
        start_at(track->x, &track->p[0][0], N, y, sd);
    else
        z = measure(track->x, &track->p[0][0], N, y, sd);
    hold_chlorine(track);
    return z;
}

/* ---- pH ---- */

static void hold_ph(struct coil_fit_ph *track)
{
    track->x[COIL_FIT_P] = clamp(track->x[COIL_FIT_P], 3.0, 12.0);
    track->x[COIL_FIT_P_END] = clamp(track->x[COIL_FIT_P_END], 5.0, 9.5);
    track->x[COIL_FIT_LN_PACE] =
        clamp(track->x[COIL_FIT_LN_PACE], log(0.005), log(2.0));
    for (int i = 0; i < M; i++)
        track->p[i][i] = clamp(track->p[i][i], 1e-8, 9.0);
}

void coil_filter_ph_close(struct coil_fit_ph *track, double noise)
{
    double *x = track->x;
    double days = track->days;
    double pace = exp(x[COIL_FIT_LN_PACE]);
    double keep = exp(-pace * days);
    double away = x[COIL_FIT_P] - x[COIL_FIT_P_END];
    double f[M] = {keep, 1.0 - keep, -away * keep * pace * days};

    if (days <= 0.0)
        return;
    carry(&track->p[0][0], M, f);
    /* An Ornstein-Uhlenbeck process of the same pace. */
    track->p[0][0] += noise * PH_SD * PH_SD * (1.0 - keep * keep) / (2.0 * pace);
    x[COIL_FIT_P] = x[COIL_FIT_P_END] + away * keep;
    wander(&track->p[0][0], M, COIL_FIT_P_END, WANDER_PH_END, days, MAX_PH_END_SD);
    wander(&track->p[0][0], M, COIL_FIT_LN_PACE, WANDER_LN, days, MAX_LN_SD);
    hold_ph(track);
    track->days = 0.0;
}

void coil_filter_ph_dose(struct coil_fit_ph *track, double change)
{
    double sd = DOSE_PH_SD * fabs(change);

    track->x[COIL_FIT_P] += change;
    track->p[0][0] += sd * sd;
    hold_ph(track);
}

void coil_filter_ph_lose(struct coil_fit_ph *track)
{
    track->p[0][0] += UNKNOWN_PH_SD * UNKNOWN_PH_SD;
    hold_ph(track);
}

double coil_filter_ph_read(struct coil_fit_ph *track, double ph, double sd,
                           bool is_first)
{
    double z = 0.0;

    if (is_first)
        start_at(track->x, &track->p[0][0], M, ph, sd);
    else
        z = measure(track->x, &track->p[0][0], M, ph, sd);
    hold_ph(track);
    return z;
}
