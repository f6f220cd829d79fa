/*
 * Metal that entered the water between two tests, by mass balance.
 *
 * The result is a lower bound: plating, filters and sequestrants hide metal, so that
 * nothing found proves nothing, and no verdict here says that a heater is sound. Grams
 * that neither fill water nor doses explain are strong evidence of something
 * dissolving; of copper in a pool that is most often the heater's exchanger.
 */
#ifndef COIL_CORROSION_H
#define COIL_CORROSION_H

#include <stdbool.h>

#include "status.h"

enum coil_metal { COIL_METAL_COPPER, COIL_METAL_IRON };

/* Density (g/cm3): copper 8.96, iron 7.87 (from memory). */
struct coil_metal_tests {
    enum coil_metal metal;
    double volume_l;          /* of the water, 100 to 1e7 */
    double u_volume_fraction; /* standard uncertainty, 0 to 0.5; 0.05 is usual */
    double before_mg_per_l, u_before_mg_per_l; /* 0 to 100; u by the test kit */
    double after_mg_per_l, u_after_mg_per_l;
    double out_l; /* water that left with its metal: backwash, splash, draining; 0 up to
                     20 volumes. Evaporation takes no metal and is not in it */
    double u_out_fraction;
    double fill_l; /* water that came in, evaporation made good included; rain apart */
    double fill_mg_per_l, u_fill_mg_per_l;
    double dosed_g, u_dosed_g; /* metal in copper-based products and the like */
};

enum coil_metal_verdict {
    COIL_METAL_NOTHING_SHOWN, /* the lower bound is 0: proves nothing */
    COIL_METAL_UNEXPLAINED    /* more than fill and doses explain, at 95 % */
};

struct coil_metal_balance {
    double entered_g;     /* everything that must have entered */
    double explained_g;   /* by fill water and doses */
    double unexplained_g; /* the difference; negative when metal went missing */
    double u_unexplained_g;
    double at_least_g; /* unexplained less 1.645 u, not below 0: one side, 95 % */
    enum coil_metal_verdict verdict;
};

/*
 * out  untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN (ranges above).
 *
 * Balance of a mixed water of constant volume, with metal entering and water leaving at
 * even rates: entered = out (after - before e)/(1 - e), e = exp(-out/volume); without
 * outflow volume (after - before). Uncertainty: first order, squares added [jcgm-100].
 * Checked by row E15 of fixtures/tables/metals.csv: 1 mg/L in 50 m3 is 50 g.
 */
enum coil_status coil_metal_balance(const struct coil_metal_tests *tests,
                                    struct coil_metal_balance *out);

/*
 * Mean depth (um) that grams are of a surface: what 1 m2 has lost.
 *
 * gram 0 to 1e6; area_m2 above 0 to 1000
 */
enum coil_status coil_metal_depth_um(enum coil_metal metal, double gram, double area_m2,
                                     double *out_um);

/* What weighs for or against corrosion beside the balance; NaN: not known. */
struct coil_metal_signs {
    double larson_skold;     /* from index.h; iron and steel only */
    double aggressive_index; /* from index.h */
    double chloride_mg_per_l;
    double ph;
    double free_chlorine_mg_per_l;
};

enum coil_metal_sign {
    COIL_SIGN_LARSON_HIGH = 1,   /* above 1.2 [larson-skold-1958]; iron only */
    COIL_SIGN_AGGRESSIVE = 2,    /* index below 10 [awwa-c400] */
    COIL_SIGN_CHLORIDE_HIGH = 4, /* above 250 mg/L [epa-secondary] */
    COIL_SIGN_PH_LOW = 8,        /* below 7.2; common practice */
    COIL_SIGN_CHLORINE_HIGH = 16 /* above 5 mg/L [mil-hdbk-1027-4a] */
};

/*
 * Signs that speak for an attack, as a mask. None of them speaks against one: copper
 * follows neither saturation nor the Larson index [edwards-1996]; low pH and high free
 * chlorine each speed its loss [hong-macauley-1998].
 */
unsigned coil_metal_signs(enum coil_metal metal, const struct coil_metal_signs *signs);

#endif
