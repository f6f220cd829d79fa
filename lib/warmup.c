#include "warmup.h"

#include <math.h>

#include "heat.h"
#include "trend.h"

#define UNCERTAIN_ABOVE 0.1
#define TRIM 0.2
#define TRIMMED_MEAN_VARIANCE 1.14
#define SEASON_POINTS_MAX 400

static const struct {
    const char *code, *field, *text;
} flaws[] = {
#define X(name, code, field, text) {code, field, text},
    COIL_WARM_UP_FLAW_LIST(X)
#undef X
};

const char *coil_warm_up_flaw_code(enum coil_warm_up_flaw flaw)
{
    return (unsigned)flaw < COIL_WARM_UP_FLAW_COUNT ? flaws[flaw].code : NULL;
}

const char *coil_warm_up_flaw_field(enum coil_warm_up_flaw flaw)
{
    return (unsigned)flaw < COIL_WARM_UP_FLAW_COUNT ? flaws[flaw].field : NULL;
}

const char *coil_warm_up_flaw_text(enum coil_warm_up_flaw flaw)
{
    return (unsigned)flaw < COIL_WARM_UP_FLAW_COUNT ? flaws[flaw].text : NULL;
}

static bool is_within(double value, double low, double high)
{
    return value >= low && value <= high; /* false for NaN */
}

static bool has_numbers(const struct coil_warm_up_log *l,
                        const struct coil_warm_up_doubt *d)
{
    if (!is_within(l->start_temp_c, 0.0, 50.0) ||
        !is_within(l->end_temp_c, 0.0, 50.0) || !is_within(l->loss_w, -1e6, 1e6) ||
        !isfinite(l->duration_s) || l->duration_s > 30.0 * 86400.0)
        return false;
    if (!(d->volume_m3 > 0.0 && d->volume_m3 <= 10000.0) ||
        !is_within(d->u_volume_fraction, 0.0, 0.5) ||
        !is_within(d->u_fuel_fraction, 0.0, 0.5) || !is_within(d->u_temp_k, 0.0, 5.0) ||
        !is_within(d->u_loss_fraction, 0.0, 2.0))
        return false;
    if (l->source == COIL_FUEL_BY_BURNER_HOURS)
        return is_within(l->burner_h, 0.0, 720.0) && l->rated_input_w > 0.0 &&
               l->rated_input_w <= 1e7;
    return l->source == COIL_FUEL_BY_METER && isfinite(l->meter_start) &&
           isfinite(l->meter_end) && is_within(l->meter_step, 0.0, 1e6) &&
           l->j_per_unit > 0.0 && l->j_per_unit <= 1e12 &&
           is_within(l->shared_fraction, 0.0, 0.9) &&
           is_within(l->u_shared_fraction, 0.0, 0.9);
}

static double fuel_j(const struct coil_warm_up_log *l)
{
    if (l->source == COIL_FUEL_BY_BURNER_HOURS)
        return l->burner_h * 3600.0 * l->rated_input_w;
    return (l->meter_end - l->meter_start) * l->j_per_unit * (1.0 - l->shared_fraction);
}

/* Sets what is wrong; true when that refuses the warm-up. */
static bool refuses(const struct coil_warm_up_log *l,
                    const struct coil_warm_up_doubt *d, struct coil_warm_up_result *out)
{
    bool by_meter = l->source == COIL_FUEL_BY_METER;
    bool *flaw = out->is_flawed;

    flaw[COIL_WARM_UP_NO_NUMBER] = !has_numbers(l, d);
    if (flaw[COIL_WARM_UP_NO_NUMBER])
        return true;
    flaw[COIL_WARM_UP_END_BEFORE_START] = l->duration_s <= 0.0;
    flaw[COIL_WARM_UP_METER_REPLACED] = by_meter && l->meter_was_replaced;
    flaw[COIL_WARM_UP_METER_BACKWARDS] =
        by_meter && !l->meter_was_replaced && l->meter_end < l->meter_start;
    flaw[COIL_WARM_UP_NO_FUEL] = !flaw[COIL_WARM_UP_METER_BACKWARDS] &&
                                 !flaw[COIL_WARM_UP_METER_REPLACED] && fuel_j(l) <= 0.0;
    for (int i = 0; i < COIL_WARM_UP_PROBE_IN_SUN; i++)
        if (flaw[i])
            return true;
    return false;
}

static double u_random(const struct coil_warm_up_log *l,
                       const struct coil_warm_up_doubt *d, double j_per_k,
                       double efficiency, double fuel)
{
    double temps = j_per_k * d->u_temp_k * sqrt(2.0) / fuel;
    double losses = l->loss_w * l->duration_s * d->u_loss_fraction / fuel;
    double meter = 0.0;
    double shared = 0.0;

    if (l->source == COIL_FUEL_BY_METER) {
        /* Half a step at either end, even distributions. */
        meter =
            efficiency * l->meter_step / sqrt(6.0) / (l->meter_end - l->meter_start);
        shared = efficiency * l->u_shared_fraction / (1.0 - l->shared_fraction);
    }
    return sqrt(temps * temps + losses * losses + meter * meter + shared * shared);
}

static void flag(const struct coil_warm_up_log *l, struct coil_warm_up_result *out)
{
    double limit =
        l->is_condensing ? COIL_EFFICIENCY_LIMIT_CONDENSING : COIL_EFFICIENCY_LIMIT;

    out->is_flawed[COIL_WARM_UP_PROBE_IN_SUN] = l->probe_in_sun;
    out->is_flawed[COIL_WARM_UP_METER_SHARED] =
        l->source == COIL_FUEL_BY_METER &&
        (l->shared_fraction > 0.0 || l->u_shared_fraction > 0.0);
    out->is_flawed[COIL_WARM_UP_ABOVE_PHYSICS] = out->efficiency_fraction > limit;
    out->is_flawed[COIL_WARM_UP_UNCERTAIN] = out->u_random > UNCERTAIN_ABOVE;
    out->is_usable = !l->probe_in_sun && !out->is_flawed[COIL_WARM_UP_ABOVE_PHYSICS];
}

enum coil_status coil_warm_up_efficiency(const struct coil_warm_up_log *log,
                                         const struct coil_warm_up_doubt *doubt,
                                         struct coil_warm_up_result *out)
{
    double j_per_k, to_water;

    *out = (struct coil_warm_up_result){0};
    if (refuses(log, doubt, out))
        return COIL_ERR_DOMAIN;
    if (coil_heat_to_warm_j(doubt->volume_m3, log->start_temp_c,
                            log->start_temp_c + 1.0, &j_per_k) != COIL_OK)
        return COIL_ERR_DOMAIN;
    to_water = j_per_k * (log->end_temp_c - log->start_temp_c);
    if (to_water + log->loss_w * log->duration_s <= 0.0) {
        out->is_flawed[COIL_WARM_UP_NO_HEAT] = true;
        return COIL_ERR_DOMAIN;
    }
    out->fuel_j = fuel_j(log);
    out->heat_j = to_water + log->loss_w * log->duration_s;
    out->efficiency_fraction = out->heat_j / out->fuel_j;
    out->u_random =
        u_random(log, doubt, j_per_k, out->efficiency_fraction, out->fuel_j);
    out->u_common = hypot(to_water / out->fuel_j * doubt->u_volume_fraction,
                          out->efficiency_fraction * doubt->u_fuel_fraction);
    flag(log, out);
    for (int i = COIL_WARM_UP_PROBE_IN_SUN; i < COIL_WARM_UP_FLAW_COUNT; i++)
        if (out->is_flawed[i])
            return COIL_WARN_RANGE;
    return COIL_OK;
}

struct coil_loss_alarm_rule coil_loss_alarm_usual(void)
{
    return (struct coil_loss_alarm_rule){0.01, 0.05, 10, 0.02};
}

static bool rule_is_usable(const struct coil_loss_alarm_rule *rule)
{
    return is_within(rule->season_sd, 0.0, 0.2) &&
           is_within(rule->false_alarm, 1e-6, 0.5) && rule->looks >= 1 &&
           rule->looks <= 1000 && is_within(rule->least_loss, 0.0, 0.5);
}

/* Standard normal distribution: chance beyond z. */
static double beyond(double z)
{
    return 0.5 * erfc(z / sqrt(2.0));
}

static double critical_z(const struct coil_loss_alarm_rule *rule)
{
    double chance = rule->false_alarm / rule->looks;
    double low = 0.0;
    double high = 10.0;

    while (high - low > 1e-9) {
        double middle = 0.5 * (low + high);

        if (beyond(middle) > chance)
            low = middle;
        else
            high = middle;
    }
    return high;
}

/* Trimmed mean of a season; winsorised squares and their degrees go to the sums. */
static double season_mean(double *value, size_t count, double *sum_square,
                          double *sum_degrees)
{
    size_t cut = (size_t)(TRIM * (double)count);
    double sum = 0.0;
    double winsorised = 0.0;
    double square = 0.0;

    coil_sort(value, count);
    for (size_t i = cut; i < count - cut; i++)
        sum += value[i];
    for (size_t i = 0; i < count; i++)
        winsorised += fmax(value[cut], fmin(value[count - 1 - cut], value[i]));
    winsorised /= (double)count;
    for (size_t i = 0; i < count; i++) {
        double v = fmax(value[cut], fmin(value[count - 1 - cut], value[i]));

        square += (v - winsorised) * (v - winsorised);
    }
    *sum_square += square;
    *sum_degrees += (double)count - 1.0;
    return sum / (double)(count - 2 * cut);
}

/* Means of the seasons; counts go to size[]. */
static void seasons_from_points(const struct coil_efficiency_point *point, size_t count,
                                struct coil_efficiency_trend *out, size_t *size)
{
    double value[SEASON_POINTS_MAX];
    double square = 0.0;
    double degrees = 0.0;
    size_t next;

    for (size_t i = 0; i < count; i = next) {
        size_t n = 0;

        for (next = i; next < count && point[next].season == point[i].season; next++)
            value[n++] = point[next].efficiency_fraction;
        if (n < COIL_SEASON_LEAST)
            continue;
        out->season[out->seasons] = point[i].season;
        out->mean[out->seasons] = season_mean(value, n, &square, &degrees);
        size[out->seasons++] = n;
    }
    if (degrees <= 0.0)
        return;
    /* Winsorised standard deviation over the part that is kept: that of the mean. */
    out->scatter = sqrt(square / degrees) / (1.0 - 2.0 * TRIM);
    for (int s = 0; s < out->seasons; s++)
        out->u_mean[s] = out->scatter / sqrt((double)size[s]);
}

static void line_through(const struct coil_loss_alarm_rule *rule,
                         struct coil_efficiency_trend *t)
{
    double weights = 0.0, weighted_x = 0.0, sxx = 0.0, sxy = 0.0;

    for (int pass = 0; pass < 2; pass++) {
        for (int s = 0; s < t->seasons; s++) {
            double variance =
                t->u_mean[s] * t->u_mean[s] + rule->season_sd * rule->season_sd;
            double w = 1.0 / fmax(variance, 1e-12);
            double x = t->season[s];

            if (pass == 0) {
                weights += w;
                weighted_x += w * x;
            } else {
                sxx += w * pow(x - weighted_x / weights, 2.0);
                sxy += w * (x - weighted_x / weights) * t->mean[s];
            }
        }
    }
    t->slope_per_year = sxy / sxx;
    t->u_slope_per_year = 1.0 / sqrt(sxx);
    t->lost = -t->slope_per_year * (t->season[t->seasons - 1] - t->season[0]);
    t->is_alarm = t->slope_per_year < -critical_z(rule) * t->u_slope_per_year &&
                  t->lost >= rule->least_loss;
}

static enum coil_status refuse_points(const struct coil_efficiency_point *point,
                                      size_t count)
{
    size_t seasons = 0;
    size_t in_season = 0;

    if (count < 1 || count > COIL_EFFICIENCY_POINTS_MAX)
        return COIL_ERR_DOMAIN;
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(point[i].efficiency_fraction))
            return COIL_ERR_NOT_FINITE;
        if (point[i].efficiency_fraction <= 0.0 || point[i].efficiency_fraction > 1.5 ||
            (i > 0 && point[i].season < point[i - 1].season))
            return COIL_ERR_DOMAIN;
        in_season = i > 0 && point[i].season == point[i - 1].season ? in_season + 1 : 1;
        seasons += in_season == 1;
        if (in_season > SEASON_POINTS_MAX || seasons > COIL_SEASONS_MAX)
            return COIL_ERR_DOMAIN;
    }
    return COIL_OK;
}

enum coil_status coil_efficiency_trend(const struct coil_efficiency_point *point,
                                       size_t count,
                                       const struct coil_loss_alarm_rule *rule,
                                       struct coil_efficiency_trend *out)
{
    enum coil_status status = refuse_points(point, count);
    size_t size[COIL_SEASONS_MAX];

    if (status != COIL_OK)
        return status;
    if (!rule_is_usable(rule))
        return COIL_ERR_DOMAIN;
    *out = (struct coil_efficiency_trend){0};
    seasons_from_points(point, count, out, size);
    if (out->seasons >= 2)
        line_through(rule, out);
    return COIL_OK;
}

enum coil_status coil_loss_alarm_power(const struct coil_loss_alarm_rule *rule,
                                       double loss_per_year, int seasons,
                                       int per_season, double scatter,
                                       double *out_power)
{
    double sxx, variance;

    if (!isfinite(loss_per_year) || !isfinite(scatter))
        return COIL_ERR_NOT_FINITE;
    if (!rule_is_usable(rule) || loss_per_year < 0.0 || loss_per_year > 0.5 ||
        seasons < 2 || seasons > COIL_SEASONS_MAX || per_season < COIL_SEASON_LEAST ||
        per_season > 1000 || scatter <= 0.0 || scatter > 0.5)
        return COIL_ERR_DOMAIN;
    sxx = (double)seasons * ((double)seasons * seasons - 1.0) / 12.0;
    variance = TRIMMED_MEAN_VARIANCE * scatter * scatter / per_season +
               rule->season_sd * rule->season_sd;
    *out_power = beyond(critical_z(rule) - loss_per_year * sqrt(sxx / variance));
    return COIL_OK;
}

enum coil_status coil_loss_fuel_j(double fuel_j_per_year, double before, double now,
                                  double *out_j)
{
    if (!isfinite(fuel_j_per_year) || !isfinite(before) || !isfinite(now))
        return COIL_ERR_NOT_FINITE;
    if (fuel_j_per_year < 0.0 || fuel_j_per_year > 1e15 || now <= 0.0 || now > before ||
        before > 1.1)
        return COIL_ERR_DOMAIN;
    *out_j = fuel_j_per_year * (1.0 - now / before);
    return COIL_OK;
}
