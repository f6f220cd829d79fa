/*
 * Calcium carbonate precipitation potential: how much calcite a closed water would drop
 * (or take up) until it is just saturated.
 */
#ifndef COIL_PRECIPITATION_H
#define COIL_PRECIPITATION_H

#include "dose.h"
#include "equilibrium.h"
#include "status.h"

struct coil_precipitation {
    double caco3_mol_per_kg;         /* > 0 drops out, < 0 dissolves */
    double caco3_mg_per_l;           /* the same, 1 kg as 1 L */
    struct coil_equilibrium settled; /* the water left, calcite SI 0 */
    int solves;                      /* equilibria that were needed */
};

/*
 * out  untouched unless >= 0 is returned
 *
 * Returns the statuses of coil_equilibrium_solve; COIL_ERR_NO_SOLUTION too when more
 * than 0.2 mol/kg would dissolve.
 *
 * Method: each mol of CaCO3 takes one mol of calcium and of inorganic carbon and two
 * equivalents of alkalinity; SI falls with it, and its zero is found inside a bracket.
 * Met to 1e-12 mol/kg (0.0000001 mg/L).
 * Checked by fixtures/tables/ccpp_and_indices.csv.
 */
enum coil_status coil_precipitation_solve(const struct coil_constants *constants,
                                          const struct coil_closed_water *water,
                                          struct coil_precipitation *out);

#endif
