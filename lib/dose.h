/*
 * What a dose does to a water: to every value, at once and after the chlorine is spent
 * and CO2 has left.
 *
 * A closed water is kept as amounts that doses add to: totals, alkalinity and inorganic
 * carbon. pH follows from them. Works on pure reagents in mol per kg of water;
 * dose_product.h comes from grams and labels.
 */
#ifndef COIL_DOSE_H
#define COIL_DOSE_H

#include "equilibrium.h"
#include "status.h"

/* What stays when a water is closed, heated or dosed. */
struct coil_closed_water {
    struct coil_totals totals;
    double alkalinity_eq_per_kg;
    double dic_mol_per_kg;
};

/*
 * X(enum name, key, g/mol, alkalinity, carbon, calcium, sodium, chloride, sulfate,
 *   borate, cyanurate, chlorine): what one mol of the pure substance brings.
 *
 * Alkalinity counts from HOCl, H3Cy, H3BO3 and CO2, which bring none. Sodium stands for
 * lithium and potassium too, chloride for the charges of tetrathionate. Neutralisers
 * react with chlorine at once: HOCl + Na2SO3 = Na2SO4 + HCl; thiosulfate goes to
 * sulfate (4 Cl) or to tetrathionate (1/2 Cl), really something between. Monopersulfate
 * (the triple salt with two KHSO5) is counted as already spent. The salt cell makes
 * chlorine from salt that is in the water already: NaCl + H2O = NaOCl + H2. Molar
 * masses: [iupac-atomic-weights].
 */
#define COIL_REAGENT_LIST(X)                                                           \
    X(COIL_REAGENT_HCL, "HCl", 36.461, -1, 0, 0, 0, 1, 0, 0, 0, 0)                     \
    X(COIL_REAGENT_NAHSO4, "NaHSO4", 120.060, -1, 0, 0, 1, 0, 1, 0, 0, 0)              \
    X(COIL_REAGENT_CO2, "CO2", 44.0095, 0, 1, 0, 0, 0, 0, 0, 0, 0)                     \
    X(COIL_REAGENT_NA2CO3, "Na2CO3", 105.988, 2, 1, 0, 2, 0, 0, 0, 0, 0)               \
    X(COIL_REAGENT_NAHCO3, "NaHCO3", 84.007, 1, 1, 0, 1, 0, 0, 0, 0, 0)                \
    X(COIL_REAGENT_SESQUICARBONATE, "Na2CO3.NaHCO3.2H2O", 226.025, 3, 2, 0, 3, 0, 0,   \
      0, 0, 0)                                                                         \
    X(COIL_REAGENT_NAOH, "NaOH", 39.997, 1, 0, 0, 1, 0, 0, 0, 0, 0)                    \
    X(COIL_REAGENT_CACL2, "CaCl2", 110.984, 0, 0, 1, 0, 2, 0, 0, 0, 0)                 \
    X(COIL_REAGENT_BORAX, "Na2B4O7", 201.22, 2, 0, 0, 2, 0, 0, 4, 0, 0)                \
    X(COIL_REAGENT_BORIC_ACID, "H3BO3", 61.833, 0, 0, 0, 0, 0, 0, 1, 0, 0)             \
    X(COIL_REAGENT_CYANURIC_ACID, "H3Cy", 129.074, 0, 0, 0, 0, 0, 0, 0, 1, 0)          \
    X(COIL_REAGENT_NACL, "NaCl", 58.4428, 0, 0, 0, 1, 1, 0, 0, 0, 0)                   \
    X(COIL_REAGENT_NAOCL, "NaOCl", 74.442, 1, 0, 0, 1, 0, 0, 0, 0, 1)                  \
    X(COIL_REAGENT_CAOCL2, "Ca(OCl)2", 142.982, 2, 0, 1, 0, 0, 0, 0, 0, 2)             \
    X(COIL_REAGENT_LIOCL, "LiOCl", 58.390, 1, 0, 0, 1, 0, 0, 0, 0, 1)                  \
    X(COIL_REAGENT_CL2, "Cl2", 70.906, -1, 0, 0, 0, 1, 0, 0, 0, 1)                     \
    X(COIL_REAGENT_SALT_CELL, "NaCl by electrolysis", 58.4428, 1, 0, 0, 0, -1, 0, 0,   \
      0, 1)                                                                            \
    X(COIL_REAGENT_TRICHLOR, "Cl3Cy", 232.410, 0, 0, 0, 0, 0, 0, 0, 1, 3)              \
    X(COIL_REAGENT_DICHLOR, "NaCl2Cy", 219.950, 1, 0, 0, 1, 0, 0, 0, 1, 2)             \
    X(COIL_REAGENT_NA2SO3, "Na2SO3", 126.043, -1, 0, 0, 2, 1, 1, 0, 0, -1)             \
    X(COIL_REAGENT_THIOSULFATE_FULL, "Na2S2O3 to sulfate", 158.11, -6, 0, 0, 2, 4, 2,  \
      0, 0, -4)                                                                        \
    X(COIL_REAGENT_THIOSULFATE_HALF, "Na2S2O3 to tetrathionate", 158.11, 0.5, 0, 0, 2, \
      1.5, 0, 0, 0, -0.5)                                                              \
    X(COIL_REAGENT_MONOPERSULFATE, "2KHSO5.KHSO4.K2SO4", 614.76, -3, 0, 0, 5, 0, 4, 0, \
      0, 0)

enum coil_reagent {
#define X(name, key, mass, alk, carbon, ca, na, cl, so4, b, cy, chlorine) name,
    COIL_REAGENT_LIST(X)
#undef X
    COIL_REAGENT_COUNT
};

/* "NaOCl"; NULL for a foreign number. */
const char *coil_reagent_key(enum coil_reagent reagent);
enum coil_status coil_reagent_from_key(const char *key, enum coil_reagent *out_reagent);
/* 0 for a foreign number. */
double coil_reagent_g_per_mol(enum coil_reagent reagent);

/* The closed water of a solved one. */
void coil_closed_from_equilibrium(const struct coil_totals *totals,
                                  const struct coil_equilibrium *water,
                                  struct coil_closed_water *out);

/* pH and everything else of a closed water; statuses of coil_equilibrium_solve. */
enum coil_status coil_closed_solve(const struct coil_constants *constants,
                                   const struct coil_closed_water *water,
                                   struct coil_equilibrium *out);

/*
 * Adds a reagent, or takes it back (the water before a dose that was logged).
 *
 * mol_per_kg  >= 0, of the pure substance per kg of the water as it was
 * out         may be the same as water; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK; COIL_ERR_NOT_FINITE; COIL_ERR_DOMAIN for a dose below 0;
 * COIL_ERR_UNKNOWN; COIL_ERR_NO_SOLUTION when less than nothing would be left of
 * something: more neutraliser than chlorine, or a dose taken back that never was there.
 * Checked by fixtures/tables/dosing.csv and side_effects.csv.
 */
enum coil_status coil_dose_add(const struct coil_closed_water *water,
                               enum coil_reagent reagent, double mol_per_kg,
                               struct coil_closed_water *out);
enum coil_status coil_dose_take(const struct coil_closed_water *water,
                                enum coil_reagent reagent, double mol_per_kg,
                                struct coil_closed_water *out);

/*
 * Chlorine used up by light, bathers and metal: HOCl becomes H+ and Cl-, so that each
 * mol takes one equivalent of alkalinity.
 *
 * fraction  of all chlorine, 0 to 1
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 */
enum coil_status coil_chlorine_spend(const struct coil_closed_water *water,
                                     double fraction, struct coil_closed_water *out);

/*
 * Part of the water replaced: (1 - fill_fraction) water + fill_fraction fill, by kg.
 *
 * fill_fraction 0 to 1
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 */
enum coil_status coil_water_mix(const struct coil_closed_water *water,
                                const struct coil_closed_water *fill,
                                double fill_fraction, struct coil_closed_water *out);

/*
 * CO2 exchanged with air until its pressure is pco2_atm (427 ppm dry air: 0.000427), or
 * a share of the dissolved CO2 lost; alkalinity kept.
 *
 * removed_fraction 0 to 1 of the water's CO2 at the start
 * out_closed  the water afterwards; may be NULL
 * Statuses of coil_equilibrium_solve.
 * Checked by fixtures/tables/outgas.csv.
 */
enum coil_status coil_outgas_to_pressure(const struct coil_constants *constants,
                                         const struct coil_closed_water *water,
                                         double pco2_atm,
                                         struct coil_closed_water *out_closed,
                                         struct coil_equilibrium *out);
enum coil_status coil_outgas_share(const struct coil_constants *constants,
                                   const struct coil_closed_water *water,
                                   double removed_fraction,
                                   struct coil_closed_water *out_closed,
                                   struct coil_equilibrium *out);

/* One dose as the pool sees it. */
struct coil_dose_effect {
    struct coil_equilibrium before;
    struct coil_equilibrium at_once;
    struct coil_equilibrium spent; /* all chlorine used; water still closed */
    struct coil_equilibrium aired; /* and CO2 in balance with air */
};

/*
 * Everything that one dose changes.
 *
 * air_pco2_atm  pressure that CO2 goes to in the end
 * out           untouched unless >= 0 is returned
 * Returns the worst status of the four waters: refused before positive before COIL_OK.
 */
enum coil_status coil_dose_effect(const struct coil_constants *constants,
                                  const struct coil_closed_water *water,
                                  enum coil_reagent reagent, double mol_per_kg,
                                  double air_pco2_atm, struct coil_dose_effect *out);

#endif
