/*
 * How strong a product is: from what its label says, and what time left of it.
 *
 * Knows no shed and no clock; strengths come out as lib/product.h counts them.
 */
#ifndef COIL_STRENGTH_H
#define COIL_STRENGTH_H

#include "product.h"
#include "status.h"

/* What the number on a label is. */
enum coil_label {
    COIL_LABEL_PERCENT,
    COIL_LABEL_DEGREES_BAUME,
    COIL_LABEL_AVAILABLE_WEIGHT,
    COIL_LABEL_HYPOCHLORITE_WEIGHT,
    COIL_LABEL_DIHYDRATE,
    COIL_LABEL_COUNT
};

/*
 * Strength in percent, as lib/product.h counts it, of what a label says.
 *
 * product, label   percent: of every product, as it is; degrees Baume: hydrochloric
 *                  acid; available chlorine or NaOCl by weight: sodium hypochlorite;
 *                  CaCl2 2 H2O by weight: calcium chloride
 * value            what stands there; the strength must come out in (0, 100]
 * out_percent      untouched unless COIL_OK is returned
 *
 * COIL_OK, COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN, COIL_ERR_UNKNOWN for a label that this
 * product has not.
 *
 * Density of hypochlorite rises linearly to 1.160 at 12 g per 100 mL; by weight it is
 * trade percent over density, and NaOCl is 1.05 times available chlorine [white-1972].
 */
enum coil_status coil_strength_from_label(enum coil_product product,
                                          enum coil_label label, double value,
                                          double *out_percent);

/* Where nobody says how warm the shed is: illustrative, common practice, no source. */
#define COIL_SHED_TEMP_DEFAULT_C 25.0

/*
 * Sodium hypochlorite after a while in a closed, dark container.
 *
 * trade_percent  when it was made, g available chlorine per 100 mL, (0, 20]
 * age_d          days since, 0 to 3650
 * temp_c         of the store, -10 to 60
 * out_trade_percent  untouched unless COIL_OK is returned
 *
 * COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 *
 * Method: 3 OCl- = 2 Cl- + ClO3-, second order in hypochlorite, log10 k2 = 0.0788 I +
 * log10(2.083e10 T exp(-101800/(R T)) exp(-56.5/R)) L/(mol s) [adam-gordon-1999], from
 * memory. The ions' strength I is that of equal moles of salt and hypochlorite and stays.
 * Light, metal and too little caustic make it faster. Half-lives come out 0.5 to 0.9
 * times those of the trade's table (common practice, no source), so that a plan may ask
 * for a little more than needed: a test decides.
 */
enum coil_status coil_hypochlorite_aged(double trade_percent, double age_d,
                                        double temp_c, double *out_trade_percent);

#endif
