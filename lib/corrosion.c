#include "corrosion.h"

#include <math.h>
#include <stddef.h>

#define ONE_SIDE_95 1.645

static bool in(double value, double low, double high)
{
    return value >= low && value <= high;
}

static enum coil_status refuse(const struct coil_metal_tests *t)
{
    const double all[] = {t->volume_l,        t->u_volume_fraction,
                          t->before_mg_per_l, t->u_before_mg_per_l,
                          t->after_mg_per_l,  t->u_after_mg_per_l,
                          t->out_l,           t->u_out_fraction,
                          t->fill_l,          t->fill_mg_per_l,
                          t->u_fill_mg_per_l, t->dosed_g,
                          t->u_dosed_g};

    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        if (!isfinite(all[i]))
            return COIL_ERR_NOT_FINITE;
    if ((unsigned)t->metal > COIL_METAL_IRON || !in(t->volume_l, 100.0, 1e7) ||
        !in(t->u_volume_fraction, 0.0, 0.5) || !in(t->before_mg_per_l, 0.0, 100.0) ||
        !in(t->after_mg_per_l, 0.0, 100.0) || !in(t->u_before_mg_per_l, 0.0, 100.0) ||
        !in(t->u_after_mg_per_l, 0.0, 100.0) ||
        !in(t->out_l, 0.0, 20.0 * t->volume_l) || !in(t->u_out_fraction, 0.0, 1.0) ||
        !in(t->fill_l, 0.0, 1e8) || !in(t->fill_mg_per_l, 0.0, 100.0) ||
        !in(t->u_fill_mg_per_l, 0.0, 100.0) || !in(t->dosed_g, 0.0, 1e6) ||
        !in(t->u_dosed_g, 0.0, 1e6))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* Grams that entered; per litre of volume it is a function of out/volume. */
static double entered_g(double volume_l, double out_l, double before, double after)
{
    double turnover = out_l / volume_l;
    double left = exp(-turnover);
    /* turnover/(1 - e), which goes to 1 as the outflow goes to 0. */
    double share = turnover > 0.0 ? turnover / -expm1(-turnover) : 1.0;

    return volume_l * share * (after - before * left) / 1000.0;
}

static double u_unexplained_g(const struct coil_metal_tests *t)
{
    double v = t->volume_l;
    double h = 1e-4;
    double part[6];
    double sum = 0.0;

    part[0] =
        (entered_g(v * (1 + h), t->out_l, t->before_mg_per_l, t->after_mg_per_l) -
         entered_g(v * (1 - h), t->out_l, t->before_mg_per_l, t->after_mg_per_l)) /
        (2.0 * h) * t->u_volume_fraction;
    part[1] =
        (entered_g(v, t->out_l * (1 + h), t->before_mg_per_l, t->after_mg_per_l) -
         entered_g(v, t->out_l * (1 - h), t->before_mg_per_l, t->after_mg_per_l)) /
        (2.0 * h) * t->u_out_fraction;
    part[2] = entered_g(v, t->out_l, 1.0, 0.0) * t->u_before_mg_per_l;
    part[3] = entered_g(v, t->out_l, 0.0, 1.0) * t->u_after_mg_per_l;
    part[4] = t->fill_l * t->u_fill_mg_per_l / 1000.0;
    part[5] = t->u_dosed_g;
    for (size_t i = 0; i < 6; i++)
        sum += part[i] * part[i];
    return sqrt(sum);
}

enum coil_status coil_metal_balance(const struct coil_metal_tests *tests,
                                    struct coil_metal_balance *out)
{
    enum coil_status status = refuse(tests);

    if (status != COIL_OK)
        return status;
    out->entered_g = entered_g(tests->volume_l, tests->out_l, tests->before_mg_per_l,
                               tests->after_mg_per_l);
    out->explained_g = tests->fill_l * tests->fill_mg_per_l / 1000.0 + tests->dosed_g;
    out->unexplained_g = out->entered_g - out->explained_g;
    out->u_unexplained_g = u_unexplained_g(tests);
    out->at_least_g =
        fmax(0.0, out->unexplained_g - ONE_SIDE_95 * out->u_unexplained_g);
    out->verdict =
        out->at_least_g > 0.0 ? COIL_METAL_UNEXPLAINED : COIL_METAL_NOTHING_SHOWN;
    return COIL_OK;
}

enum coil_status coil_metal_depth_um(enum coil_metal metal, double gram, double area_m2,
                                     double *out_um)
{
    static const double density_g_per_cm3[] = {8.96, 7.87};

    if (!isfinite(gram) || !isfinite(area_m2))
        return COIL_ERR_NOT_FINITE;
    if ((unsigned)metal > COIL_METAL_IRON || !in(gram, 0.0, 1e6) || area_m2 <= 0.0 ||
        area_m2 > 1000.0)
        return COIL_ERR_DOMAIN;
    *out_um = gram / density_g_per_cm3[metal] / area_m2; /* 1 cm3 over 1 m2 is 1 um */
    return COIL_OK;
}

unsigned coil_metal_signs(enum coil_metal metal, const struct coil_metal_signs *signs)
{
    unsigned mask = 0;

    /* Each comparison is false for NaN: not known is no sign. */
    if (metal == COIL_METAL_IRON && signs->larson_skold > 1.2)
        mask |= COIL_SIGN_LARSON_HIGH;
    if (signs->aggressive_index < 10.0)
        mask |= COIL_SIGN_AGGRESSIVE;
    if (signs->chloride_mg_per_l > 250.0)
        mask |= COIL_SIGN_CHLORIDE_HIGH;
    if (signs->ph < 7.2)
        mask |= COIL_SIGN_PH_LOW;
    if (signs->free_chlorine_mg_per_l > 5.0)
        mask |= COIL_SIGN_CHLORINE_HIGH;
    return mask;
}
