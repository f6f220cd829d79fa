/*
 * Chemical equilibrium of pool water: from any two of pH, total alkalinity, inorganic
 * carbon and CO2 pressure, with the totals of the rest, to every species.
 *
 * All amounts are mol per kg of water. Nothing precipitates and nothing is oxidised or
 * reduced. Knows nothing of readings, products or units that people use; composition.h
 * makes totals from readings.
 *
 * Model: mass action with the constants of equilibrium_constants.h; activities by
 * Truesdell and Jones (cyanurate and OCl- by Davies), uncharged species log g = 0.1 I,
 * a(H2O) = 1 - 0.017 sum of molalities [truesdell-jones-1974] [phreeqc-3].
 * docs/model.md tells it in words.
 */
#ifndef COIL_EQUILIBRIUM_H
#define COIL_EQUILIBRIUM_H

#include "chlorine.h"
#include "equilibrium_constants.h"
#include "status.h"

/* What is in the water whatever the pH; mol per kg of water, each >= 0. */
struct coil_totals {
    double calcium_mol_per_kg;   /* up to 0.5 */
    double magnesium_mol_per_kg; /* up to 0.5 */
    double sodium_mol_per_kg;    /* all univalent cations; up to 2 */
    double chloride_mol_per_kg;  /* all inert univalent anions; up to 2 */
    double sulfate_mol_per_kg;   /* up to 0.5 */
    double borate_mol_per_kg;    /* boron; up to 0.5 */
    double cyanurate_mol_per_kg; /* free and chlorinated; up to 0.5 */
    double chlorine_mol_per_kg;  /* all chlorine(+1), free and bound; up to 0.5 */
};

/* Which two values are given, in this order. */
enum coil_given {
    COIL_GIVEN_PH_ALKALINITY,
    COIL_GIVEN_PH_DIC,
    COIL_GIVEN_PH_PCO2,
    COIL_GIVEN_ALKALINITY_DIC,
    COIL_GIVEN_ALKALINITY_PCO2,
    COIL_GIVEN_DIC_PCO2
};

/* Free species are those outside the pairs. */
struct coil_equilibrium {
    double temp_c;
    double ph; /* -log10 of the activity of H+ */
    double alkalinity_eq_per_kg;
    double dic_mol_per_kg; /* all inorganic carbon, pairs included */
    double pco2_atm;
    double si_calcite; /* log10(a(Ca) a(CO3) / K); -INFINITY without one of the two */
    double ionic_strength_mol_per_kg;
    double water_activity;

    /* The parts of the alkalinity; their sum is the alkalinity. */
    double carbonate_alkalinity_eq_per_kg;
    double borate_alkalinity_eq_per_kg;
    double cyanurate_alkalinity_eq_per_kg; /* chlorinated forms included */
    double hypochlorite_alkalinity_eq_per_kg;
    double water_alkalinity_eq_per_kg; /* OH- - H+ - HSO4- */

    double h_mol_per_kg;
    double oh_mol_per_kg;
    double co2_mol_per_kg;
    double hco3_mol_per_kg;
    double co3_mol_per_kg;
    double ca_mol_per_kg;
    double cahco3_mol_per_kg;
    double caco3_mol_per_kg;
    double na_mol_per_kg;
    double nahco3_mol_per_kg;
    double naco3_mol_per_kg;
    double mg_mol_per_kg;
    double mghco3_mol_per_kg;
    double mgco3_mol_per_kg;
    double so4_mol_per_kg;
    double hso4_mol_per_kg;
    double caso4_mol_per_kg;
    double naso4_mol_per_kg;
    double mgso4_mol_per_kg;
    double h3bo3_mol_per_kg;
    double h2bo3_mol_per_kg;
    double hocl_mol_per_kg;
    double ocl_mol_per_kg;
    double cyanurate_mol_per_kg[COIL_CYANURATE_FORM_COUNT];

    double ca_activity;
    double co3_activity;

    int iterations; /* how often the species were evaluated */
};

/*
 * Solves the water.
 *
 * constants  of coil_constants_at, at the water's temperature
 * totals     as above
 * given      which two values first and second are
 * first, second  pH 0 to 14; alkalinity -1 to 2 eq/kg; DIC 0 to 2 mol/kg; CO2 pressure
 *            0 to 10 atm
 * out        the caller keeps it; untouched unless >= 0 is returned
 *
 * Returns COIL_OK.
 * COIL_WARN_RANGE: computed, but ionic strength is above 0.7 (sea water, as far as the
 * activities were fitted); or chlorine is there and the temperature is outside 5 to 35
 * degC; or cyanurate is there outside the temperatures of its source;
 * or both are there below COIL_STRONG_CYANURATE_PH with a source that lacks what counts
 * there (take COIL_CYANURATE_OBRIEN_1974: the pH of strong trichlor is wrong otherwise).
 * COIL_ERR_NOT_FINITE: a number is missing.
 * COIL_ERR_DOMAIN: a number is outside the ranges above, or given is foreign.
 * COIL_ERR_NO_SOLUTION: no such water: alkalinity below what borate, cyanurate,
 * hypochlorite and water hold at that pH; inorganic carbon below the CO2 of the given
 * pressure; pH outside 0 to 14.
 *
 * Accuracy: totals, alkalinity and DIC are met to 1e-9 of the largest term. Calcite SI is
 * known to about 0.05 in a pool and 0.1 at a hot film, whatever one's arithmetic.
 * Method: three nested equations in one unknown, each with a bracket: ionic strength by
 * secant, ln a(H+) and [HCO3-] by Newton.
 * Checked by fixtures/tables/saturation.csv, temperature.csv, outgas.csv, borate.csv,
 * cyanurate_alkalinity.csv.
 */
enum coil_status coil_equilibrium_solve(const struct coil_constants *constants,
                                        const struct coil_totals *totals,
                                        enum coil_given given, double first,
                                        double second, struct coil_equilibrium *out);

/*
 * The same water at another temperature, closed: alkalinity and DIC kept.
 * constants are those of the new temperature; from is the water before, whose pH is the
 * start of the search. Statuses as above.
 */
enum coil_status coil_equilibrium_heat(const struct coil_constants *constants,
                                       const struct coil_totals *totals,
                                       const struct coil_equilibrium *from,
                                       struct coil_equilibrium *out);

/*
 * Buffer capacity: alkalinity needed per unit of pH, eq/(kg pH), at the solved water,
 * with totals and DIC kept and ionic strength held still. Always > 0.
 *
 * Analytic derivative; an actual dose moves the ionic strength a little too, which
 * changes it by about 1 %.
 */
double coil_equilibrium_buffer_capacity(const struct coil_constants *constants,
                                        const struct coil_totals *totals,
                                        const struct coil_equilibrium *water);

#endif
