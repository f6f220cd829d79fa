/*
 * From a product as sold to reagents: grams or millilitres and the label's strength to
 * mol per kg of pool water.
 *
 * By active substance, never by brand. 1 L of pool water counts as 1 kg.
 */
#ifndef COIL_DOSE_PRODUCT_H
#define COIL_DOSE_PRODUCT_H

#include "dose.h"
#include "product.h"
#include "status.h"

#define COIL_DOSE_PARTS_MAX 2

struct coil_dose_part {
    enum coil_reagent reagent;
    double mol_per_kg;
};

struct coil_dose {
    struct coil_dose_part parts[COIL_DOSE_PARTS_MAX];
    int count;
};

/*
 * What an amount of a product brings to a pool.
 *
 * amount            g of a solid or gas, mL of a liquid; >= 0
 * strength_percent  (0, 100]; chlorine products: available chlorine, by weight for
 *                   solids, g per 100 mL for sodium hypochlorite; others: active
 *                   substance by weight (borax and thiosulfate as the hydrates Na2B4O7
 *                   10 H2O and Na2S2O3 5 H2O; calcium chloride as CaCl2;
 *                   monopersulfate as the triple salt)
 * volume_m3         > 0
 * out               untouched unless >= 0 is returned
 *
 * Returns COIL_OK. COIL_WARN_RANGE: available chlorine above that of the pure
 * substance, as some labels print (dichlor dihydrate 56 for 55.4 %).
 * COIL_ERR_NOT_FINITE; COIL_ERR_DOMAIN for a dose below 0, no strength or one over 100
 * %, no volume; COIL_ERR_UNKNOWN when the product's effect is not known here (bromine,
 * "other").
 *
 * Sodium hypochlorite is made with as much NaCl [white-1972]; its excess caustic is not
 * counted. Of a technical product only the active substance is. Sodium thiosulfate is
 * taken to sulfate; coil_dose_thiosulfate_half tells the other end.
 * Checked by fixtures/tables/doses.csv, side_effects.csv and products.csv.
 */
enum coil_status coil_dose_from_product(enum coil_product product, double amount,
                                        double strength_percent, double volume_m3,
                                        struct coil_dose *out);

/* The same amount of thiosulfate as if it went to tetrathionate only. */
void coil_dose_thiosulfate_half(struct coil_dose *dose);

/* Adds all parts, or takes them back; statuses of coil_dose_add. */
enum coil_status coil_dose_apply(const struct coil_closed_water *water,
                                 const struct coil_dose *dose,
                                 struct coil_closed_water *out);
enum coil_status coil_dose_undo(const struct coil_closed_water *water,
                                const struct coil_dose *dose,
                                struct coil_closed_water *out);

/* Available chlorine of the pure substance, percent by weight as Cl2; 0 for what has
 * none. Dichlor is the dihydrate, as it is mostly sold. */
double coil_product_pure_chlorine_percent(enum coil_product product);

/*
 * Density of hydrochloric acid, kg/L, by weight percent 0 to 40: 1.160 at 31.45 %,
 * linear (within 0.004 of tables, from memory). Degrees Baume are 145 (1 - 1/density).
 */
double coil_hydrochloric_density(double percent);

/*
 * Weight percent of hydrochloric acid by degrees Baume, 0 to 25 (20 is 31.45 %).
 * COIL_OK, COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN.
 */
enum coil_status coil_hydrochloric_percent(double degrees_baume, double *out_percent);

#endif
