#include "drift.h"

#include <math.h>
#include <stddef.h>

double coil_schmidt_co2(double temp_c)
{
    double t = fmin(fmax(temp_c, 0), 40);

    /* [wanninkhof-2014] table 1, fresh water; from memory, 600 at 20 degC as it must.
     */
    return 1923.6 + t * (-125.06 + t * (4.3773 + t * (-0.085681 + t * 0.00070284)));
}

static int is_between(double x, double low, double high)
{
    return x >= low && x <= high;
}

static enum coil_status check(const struct coil_drift_input *in, const double *days,
                              int count)
{
    int i;

    if (!isfinite(in->mean_depth_m) || !isfinite(in->k_low) ||
        !isfinite(in->k_likely) || !isfinite(in->k_high) ||
        !isfinite(in->evaporation_m_per_d) || !isfinite(in->replaced_m_per_d) ||
        !isfinite(in->air_pco2_atm))
        return COIL_ERR_NOT_FINITE;
    if (!(in->mean_depth_m > 0) || !is_between(in->k_low, 0, in->k_likely) ||
        !is_between(in->k_high, in->k_likely, 100) ||
        !is_between(in->evaporation_m_per_d, 0, 0.05) ||
        !is_between(in->replaced_m_per_d, 0, 1) ||
        !is_between(in->air_pco2_atm, 0, 0.1) || count < 1)
        return COIL_ERR_DOMAIN;
    for (i = 0; i < count; i++) {
        if (!isfinite(days[i]))
            return COIL_ERR_NOT_FINITE;
        if (!is_between(days[i], i > 0 ? days[i - 1] : 0, COIL_DRIFT_DAYS_MAX))
            return COIL_ERR_DOMAIN;
    }
    return COIL_OK;
}

/* One course of the water. */
struct course {
    const struct coil_drift_input *input;
    const struct coil_constants *constants;
    double k_m_per_d; /* at the water's temperature */
    struct coil_closed_water water;
    enum coil_status worst;
};

/* All but DIC after a time: closed forms of what fill brings and takes. */
static struct coil_closed_water salts_at(const struct course *c, double days)
{
    const struct coil_drift_input *in = c->input;
    double evaporated = in->evaporation_m_per_d / in->mean_depth_m * days;
    double replaced = -expm1(-in->replaced_m_per_d / in->mean_depth_m * days);
    struct coil_closed_water w = c->water;
    double *now = &w.totals.calcium_mol_per_kg;
    const double *fill = &in->fill.totals.calcium_mol_per_kg;
    size_t i;

    if (!(evaporated > 0) && !(replaced > 0))
        return w;
    for (i = 0; i < sizeof w.totals / sizeof *now; i++)
        now[i] += replaced * (fill[i] - now[i]) + evaporated * fill[i];
    w.alkalinity_eq_per_kg +=
        replaced * (in->fill.alkalinity_eq_per_kg - w.alkalinity_eq_per_kg) +
        evaporated * in->fill.alkalinity_eq_per_kg;
    return w;
}

/* Change of DIC a day at a time within the step. */
static double slope(struct course *c, double days, double dic)
{
    const struct coil_drift_input *in = c->input;
    struct coil_closed_water w = salts_at(c, days);
    struct coil_equilibrium e;
    enum coil_status status;

    w.dic_mol_per_kg = dic;
    status = coil_closed_solve(c->constants, &w, &e);
    if (status < 0) {
        c->worst = status;
        return 0;
    }
    if (c->worst >= 0 && status > c->worst)
        c->worst = status;
    return (-c->k_m_per_d *
                (e.co2_mol_per_kg - c->constants->k_henry * in->air_pco2_atm) +
            in->replaced_m_per_d * (in->fill.dic_mol_per_kg - dic) +
            in->evaporation_m_per_d * in->fill.dic_mol_per_kg) /
           in->mean_depth_m;
}

static void step(struct course *c, double h)
{
    double y = c->water.dic_mol_per_kg;
    double a = slope(c, 0, y), b = slope(c, h / 2, y + h / 2 * a);
    double d = slope(c, h / 2, y + h / 2 * b), e = slope(c, h, y + h * d);

    c->water = salts_at(c, h);
    c->water.dic_mol_per_kg = y + h / 6 * (a + 2 * b + 2 * d + e);
}

static void go(struct course *c, double days)
{
    double longest = fmin(0.25, 0.1 * c->input->mean_depth_m / (c->k_m_per_d + 1e-9));
    int count = (int)fmin(ceil(days / fmax(longest, 1e-3)), 60000), i;

    for (i = 0; i < count && c->worst >= 0; i++)
        step(c, days / count);
}

/* The three courses side by side at one time. */
static enum coil_status look(const struct course *courses, struct coil_drift_point *out)
{
    double ph[3];
    int i;

    for (i = 0; i < 3; i++) {
        struct coil_equilibrium e;
        enum coil_status status = courses[i].worst;

        if (status >= 0)
            status = coil_closed_solve(courses[i].constants, &courses[i].water, &e);
        if (status < 0)
            return status;
        ph[i] = e.ph;
    }
    *out = (struct coil_drift_point){
        .ph_low = fmin(ph[0], fmin(ph[1], ph[2])),
        .ph_likely = ph[1],
        .ph_high = fmax(ph[0], fmax(ph[1], ph[2])),
        .alkalinity_eq_per_kg = courses[1].water.alkalinity_eq_per_kg,
        .dic_mol_per_kg = courses[1].water.dic_mol_per_kg,
        .calcium_mol_per_kg = courses[1].water.totals.calcium_mol_per_kg,
    };
    return courses[0].worst > courses[2].worst ? courses[0].worst : courses[2].worst;
}

enum coil_status coil_drift(const struct coil_drift_input *input, const double *days,
                            int count, struct coil_drift_point *out)
{
    struct coil_constants constants;
    struct course courses[3];
    enum coil_status status = check(input, days, count);
    const double k600[] = {input->k_low, input->k_likely, input->k_high};
    int i, j;

    if (status == COIL_OK)
        status = coil_constants_at(input->water_temp_c, input->source, &constants);
    if (status != COIL_OK)
        return status;
    for (j = 0; j < 3; j++)
        courses[j] = (struct course){
            .input = input,
            .constants = &constants,
            .k_m_per_d = k600[j] / sqrt(coil_schmidt_co2(input->water_temp_c) / 600),
            .water = input->water,
        };
    for (i = 0; i < count && status >= 0; i++) {
        for (j = 0; j < 3; j++)
            go(&courses[j], days[i] - (i > 0 ? days[i - 1] : 0));
        status = look(courses, &out[i]);
    }
    return status;
}

enum coil_status coil_drift_transfer(double wind_m_per_s, double stir_factor,
                                     double covered_fraction,
                                     struct coil_drift_transfer *out)
{
    double k;

    if (!isfinite(wind_m_per_s) || !isfinite(stir_factor) ||
        !isfinite(covered_fraction))
        return COIL_ERR_NOT_FINITE;
    if (!(wind_m_per_s >= 0 && wind_m_per_s <= 20) ||
        !(stir_factor >= 1 && stir_factor <= 20) ||
        !(covered_fraction >= 0 && covered_fraction <= 1))
        return COIL_ERR_DOMAIN;
    k = (2.07 + 0.215 * pow(wind_m_per_s, 1.7)) * 0.24; /* cm/h to m/d */
    k *= stir_factor * (1 - covered_fraction);
    *out = (struct coil_drift_transfer){k / COIL_DRIFT_BAND, k, k * COIL_DRIFT_BAND};
    return COIL_OK;
}
