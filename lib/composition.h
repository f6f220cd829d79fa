/*
 * From what people test to what is in the water: mg/L to mol per kg, and a recipe for
 * the ions that nobody tests.
 *
 * 1 L counts as 1 kg of water. (Real litres at 25 degC move calcite SI by 0.003, at 55
 * degC by 0.011.)
 */
#ifndef COIL_COMPOSITION_H
#define COIL_COMPOSITION_H

#include "equilibrium.h"
#include "quantity.h"
#include "status.h"

/* g/mol. [iupac-atomic-weights] */
#define COIL_CACO3_G_PER_MOL 100.0869
#define COIL_CACO3_G_PER_EQ 50.04345
#define COIL_NACL_G_PER_MOL 58.4428
#define COIL_SULFATE_G_PER_MOL 96.06
#define COIL_MAGNESIUM_G_PER_MOL 24.305
#define COIL_BORON_G_PER_MOL 10.811

/* Values of one water; 0 for what is not there. */
struct coil_composition {
    double ph;                              /* at water_temp_c */
    double total_alkalinity_mg_per_l_caco3; /* to the CO2 equivalence point */
    double calcium_hardness_mg_per_l_caco3; /* calcium only */
    double magnesium_mg_per_l;
    double salt_mg_per_l_nacl; /* NaCl beside the ions of the rest */
    double sulfate_mg_per_l;
    double borate_mg_per_l_b;
    double cyanuric_acid_mg_per_l;
    double chlorine_mg_per_l; /* free by DPD: HOCl, OCl- and bound to cyanurate */
    double water_temp_c;
};

/*
 * Totals of a water made of CaCl2, MgCl2, Na2SO4, NaCl and the sodium salts of its
 * alkalinity, so that charges balance: Na = NaCl + alkalinity + 2 SO4, Cl = NaCl + 2 Ca
 * + 2 Mg.
 *
 * composition borrowed; pH and temperature are not looked at
 * out_totals  untouched unless COIL_OK is returned
 * out_field   which value was refused; may be NULL, untouched unless refused
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN: a negative amount, or more
 * than the possible range of its quantity; alkalinity may be negative (strong acid) as
 * long as sodium is left.
 */
enum coil_status
coil_totals_from_composition(const struct coil_composition *composition,
                             struct coil_totals *out_totals,
                             enum coil_quantity *out_field);

/*
 * The whole way: constants from water_temp_c, totals, equilibrium from pH and
 * alkalinity.
 *
 * source         constants of chlorine with cyanurate
 * out_constants, out_totals, out_water  untouched unless >= 0 is returned
 * out_field      as above; total alkalinity when no water has these values together
 *
 * Statuses of coil_equilibrium_solve.
 */
enum coil_status coil_water_from_composition(const struct coil_composition *composition,
                                             enum coil_cyanurate_source source,
                                             struct coil_constants *out_constants,
                                             struct coil_totals *out_totals,
                                             struct coil_equilibrium *out_water,
                                             enum coil_quantity *out_field);

/*
 * NaCl that dissolved solids leave room for beside the salts of the recipe above, mg/L;
 * 0 when there is none left. For waters where solids are tested but salt is not.
 * composition's own salt is not looked at.
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN (solids negative).
 * A convention of ours: solids count bicarbonate as NaHCO3.
 */
enum coil_status coil_salt_from_tds(const struct coil_composition *composition,
                                    double tds_mg_per_l, double *out_salt_mg_per_l);

/* Units of people. */
double coil_mg_per_l_from_alkalinity(double alkalinity_eq_per_kg);
double coil_alkalinity_from_mg_per_l(double total_alkalinity_mg_per_l_caco3);
double coil_mg_per_l_from_calcium(double calcium_mol_per_kg);

#endif
