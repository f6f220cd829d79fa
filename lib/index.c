#include "index.h"

#include <math.h>

#define ZERO_C_IN_K 273.15
#define CACO3_G_PER_MOL 100.0869
#define CACO3_G_PER_EQ 50.04345
#define CHLORIDE_G_PER_EQ 35.453
#define SULFATE_G_PER_EQ 48.03

static int is_outside(double value, double low, double high)
{
    return !(value >= low && value <= high);
}

static enum coil_status check_water(const struct coil_index_water *water)
{
    if (!isfinite(water->temp_c) || !isfinite(water->ph) ||
        !isfinite(water->tds_mg_per_l) ||
        !isfinite(water->calcium_hardness_mg_per_l_caco3) ||
        !isfinite(water->total_alkalinity_mg_per_l_caco3))
        return COIL_ERR_NOT_FINITE;
    if (is_outside(water->temp_c, -5.0, 120.0) || is_outside(water->ph, 0.0, 14.0) ||
        water->tds_mg_per_l < 0.0 || water->calcium_hardness_mg_per_l_caco3 <= 0.0 ||
        water->total_alkalinity_mg_per_l_caco3 <= 0.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_handbook_index(const struct coil_index_water *water,
                                     struct coil_handbook_index *out_index)
{
    const double calcium = water->calcium_hardness_mg_per_l_caco3;
    const double alkalinity = water->total_alkalinity_mg_per_l_caco3;
    enum coil_status status = check_water(water);
    struct coil_handbook_index result;

    if (status != COIL_OK)
        return status;
    if (water->tds_mg_per_l <= 0.0)
        return COIL_ERR_DOMAIN;
    result.tds_term = (log10(water->tds_mg_per_l) - 1.0) / 10.0;
    /* 273, not 273.15: the formula as printed. */
    result.temp_term = -13.12 * log10(water->temp_c + 273.0) + 34.55;
    result.calcium_term = log10(calcium) - 0.4;
    result.alkalinity_term = log10(alkalinity);
    result.ph_s = 9.3 + result.tds_term + result.temp_term - result.calcium_term -
                  result.alkalinity_term;
    result.index = water->ph - result.ph_s;
    *out_index = result;
    if (is_outside(water->temp_c, 0.0, 82.0) ||
        is_outside(water->tds_mg_per_l, 50.0, 1000.0) ||
        is_outside(calcium, 10.0, 1000.0) || is_outside(alkalinity, 10.0, 1000.0))
        return COIL_WARN_RANGE;
    return COIL_OK;
}

enum coil_status coil_sm2330_constants(double temp_c,
                                       struct coil_sm2330_constants *out_constants)
{
    const double t = temp_c + ZERO_C_IN_K;
    double log_t;
    double permittivity;

    if (!isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (is_outside(temp_c, -5.0, 120.0))
        return COIL_ERR_DOMAIN;
    log_t = log10(t);
    permittivity = 60954.0 / (t + 116.0) - 68.937;
    out_constants->pk2 =
        107.8871 + 0.03252849 * t - 5151.79 / t - 38.92561 * log_t + 563713.9 / (t * t);
    out_constants->pk_s = 171.9065 + 0.077993 * t - 2839.319 / t - 71.595 * log_t;
    out_constants->activity_slope = 1.82e6 * pow(permittivity * t, -1.5);
    return is_outside(temp_c, 0.0, 90.0) ? COIL_WARN_RANGE : COIL_OK;
}

enum coil_status coil_sm2330_index(const struct coil_index_water *water,
                                   struct coil_sm2330_index *out_index)
{
    enum coil_status status = check_water(water);
    struct coil_sm2330_constants constants;
    struct coil_sm2330_index result;
    double root;

    if (status != COIL_OK)
        return status;
    status = coil_sm2330_constants(water->temp_c, &constants);
    if (status < COIL_OK)
        return status;
    result.ionic_strength_mol_per_l = water->tds_mg_per_l / 40000.0;
    root = sqrt(result.ionic_strength_mol_per_l);
    result.pfm = constants.activity_slope *
                 (root / (1.0 + root) - 0.3 * result.ionic_strength_mol_per_l);
    result.p_ca =
        -log10(water->calcium_hardness_mg_per_l_caco3 / (1000.0 * CACO3_G_PER_MOL));
    result.p_hco3 =
        -log10(water->total_alkalinity_mg_per_l_caco3 / (1000.0 * CACO3_G_PER_EQ));
    result.pk2 = constants.pk2;
    result.pk_s = constants.pk_s;
    result.ph_s =
        result.pk2 - result.pk_s + result.p_ca + result.p_hco3 + 5.0 * result.pfm;
    result.index = water->ph - result.ph_s;
    *out_index = result;
    return water->tds_mg_per_l > 20000.0 ? COIL_WARN_RANGE : status;
}

enum coil_status coil_ryznar_index(double ph_s, double ph, double *out_index)
{
    const double index = 2.0 * ph_s - ph;

    if (!isfinite(ph_s) || !isfinite(ph) || !isfinite(index))
        return COIL_ERR_NOT_FINITE;
    *out_index = index;
    return COIL_OK;
}

enum coil_status coil_aggressive_index(double ph,
                                       double total_alkalinity_mg_per_l_caco3,
                                       double calcium_hardness_mg_per_l_caco3,
                                       double *out_index)
{
    const double alkalinity = total_alkalinity_mg_per_l_caco3;
    const double calcium = calcium_hardness_mg_per_l_caco3;

    if (!isfinite(ph) || !isfinite(alkalinity) || !isfinite(calcium))
        return COIL_ERR_NOT_FINITE;
    if (is_outside(ph, 0.0, 14.0) || alkalinity <= 0.0 || calcium <= 0.0)
        return COIL_ERR_DOMAIN;
    /* Two logarithms, so that the product cannot overflow. */
    *out_index = ph + log10(alkalinity) + log10(calcium);
    return COIL_OK;
}

enum coil_status coil_larson_skold_index(double chloride_mg_per_l,
                                         double sulfate_mg_per_l,
                                         double total_alkalinity_mg_per_l_caco3,
                                         double *out_ratio)
{
    double ratio;

    if (!isfinite(chloride_mg_per_l) || !isfinite(sulfate_mg_per_l) ||
        !isfinite(total_alkalinity_mg_per_l_caco3))
        return COIL_ERR_NOT_FINITE;
    if (chloride_mg_per_l < 0.0 || sulfate_mg_per_l < 0.0 ||
        total_alkalinity_mg_per_l_caco3 <= 0.0)
        return COIL_ERR_DOMAIN;
    ratio =
        (chloride_mg_per_l / CHLORIDE_G_PER_EQ + sulfate_mg_per_l / SULFATE_G_PER_EQ) /
        (total_alkalinity_mg_per_l_caco3 / CACO3_G_PER_EQ);
    if (!isfinite(ratio))
        return COIL_ERR_NOT_FINITE;
    *out_ratio = ratio;
    return COIL_OK;
}
