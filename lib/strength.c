#include "strength.h"

#include <math.h>
#include <stddef.h>

#include "dose_product.h"

/* ---- labels ---- */

#define NAOCL_PER_AVAILABLE 1.05 /* [white-1972] */
/* Density is 1 + this times trade percent: 1.160 at 12 [white-1972]. */
#define DENSITY_PER_TRADE_PERCENT (0.160 / 12)
/* CaCl2 over CaCl2 2 H2O, by molar masses [iupac-atomic-weights]. */
#define CACL2_PER_DIHYDRATE (110.978 / 147.008)

/* w = t / (1 + a t), so t = w / (1 - a w). */
static double trade_from_weight(double weight_percent)
{
    return weight_percent / (1 - DENSITY_PER_TRADE_PERCENT * weight_percent);
}

static enum coil_status percent_from_label(enum coil_product product,
                                           enum coil_label label, double value,
                                           double *out_percent)
{
    if (label == COIL_LABEL_PERCENT) {
        *out_percent = value;
        return COIL_OK;
    }
    if (label == COIL_LABEL_DEGREES_BAUME && product == COIL_HYDROCHLORIC_ACID)
        return coil_hydrochloric_percent(value, out_percent);
    if (label == COIL_LABEL_DIHYDRATE && product == COIL_CALCIUM_CHLORIDE) {
        *out_percent = value * CACL2_PER_DIHYDRATE;
        return COIL_OK;
    }
    if (product != COIL_SODIUM_HYPOCHLORITE)
        return COIL_ERR_UNKNOWN;
    if (label == COIL_LABEL_AVAILABLE_WEIGHT) {
        *out_percent = trade_from_weight(value);
        return COIL_OK;
    }
    if (label == COIL_LABEL_HYPOCHLORITE_WEIGHT) {
        *out_percent = trade_from_weight(value / NAOCL_PER_AVAILABLE);
        return COIL_OK;
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_status coil_strength_from_label(enum coil_product product,
                                          enum coil_label label, double value,
                                          double *out_percent)
{
    double percent = 0;
    enum coil_status status;

    if (coil_product_info(product) == NULL || (unsigned)label >= COIL_LABEL_COUNT)
        return COIL_ERR_UNKNOWN;
    if (!isfinite(value))
        return COIL_ERR_NOT_FINITE;
    if (!(value > 0 && value <= 100))
        return COIL_ERR_DOMAIN;
    status = percent_from_label(product, label, value, &percent);
    if (status != COIL_OK)
        return status;
    if (!(percent > 0 && percent <= 100))
        return COIL_ERR_DOMAIN;
    *out_percent = percent;
    return COIL_OK;
}

/* ---- ageing ---- */

#define R_J_PER_MOL_K 8.314
#define CL2_G_PER_MOL 70.906
#define SECONDS_PER_DAY 86400.0

/* L/(mol s) [adam-gordon-1999] */
static double rate(double temp_c, double ionic_strength)
{
    double t = temp_c + 273.15;

    return pow(10, 0.0788 * ionic_strength) * 2.083e10 * t *
           exp(-101800 / (R_J_PER_MOL_K * t)) * exp(-56.5 / R_J_PER_MOL_K);
}

enum coil_status coil_hypochlorite_aged(double trade_percent, double age_d,
                                        double temp_c, double *out_trade_percent)
{
    double mol_per_l;

    if (!isfinite(trade_percent) || !isfinite(age_d) || !isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (!(trade_percent > 0 && trade_percent <= 20) || !(age_d >= 0 && age_d <= 3650) ||
        !(temp_c >= -10 && temp_c <= 60))
        return COIL_ERR_DOMAIN;
    mol_per_l = trade_percent * 10 / CL2_G_PER_MOL;
    *out_trade_percent = trade_percent / (1 + 3 * rate(temp_c, 2 * mol_per_l) *
                                                  mol_per_l * age_d * SECONDS_PER_DAY);
    return COIL_OK;
}
