/*
 * The search for the one water that has the given values: ionic strength, pH and free
 * bicarbonate together.
 *
 * Private to lib/.
 */
#ifndef COIL_EQUILIBRIUM_SEARCH_H
#define COIL_EQUILIBRIUM_SEARCH_H

#include "speciation.h"

#define COIL_SEARCH_PH_MIN 0.0
#define COIL_SEARCH_PH_MAX 14.0

/* One water on its way to the solution. */
struct coil_search {
    const struct coil_constants *constants;
    enum coil_given given;
    double ph;         /* given, or NaN */
    double alkalinity; /* given, or NaN */
    double dic;        /* given, or NaN */
    double pco2;       /* given, or NaN */
    double ionic_strength;
    double water_activity;
    struct coil_conditional k;
    struct coil_species species;
    double missing; /* carbonate alkalinity below 0: what the others hold too much */
    int evaluations;
};

/* First guess of everything from the totals; the given values are in the search. */
void coil_search_start(struct coil_search *search, const struct coil_totals *totals);

/*
 * First guess from the same water at another temperature, for alkalinity and DIC given.
 */
void coil_search_start_from(struct coil_search *search,
                            const struct coil_totals *totals,
                            const struct coil_equilibrium *from);

/*
 * COIL_OK with species, ionic strength and water activity that fit each other and the
 * given values; COIL_ERR_NO_SOLUTION. Afterwards missing > 0 when pH and alkalinity
 * leave less than nothing for carbonate.
 */
enum coil_status coil_search_solve(struct coil_search *search);

#endif
