#include "precipitation.h"

#include <math.h>

#define MOST_DISSOLVED_MOL_PER_KG 0.2
#define STEPS_MAX 200
#define CLOSE_MOL_PER_KG 1e-13
#define CLOSE_SI 1e-12
#define CACO3_MG_PER_MOL 100086.9 /* [iupac-atomic-weights] */

/* The search: SI as it depends on what has dropped out. */
struct drop {
    const struct coil_constants *constants;
    const struct coil_closed_water *water;
    struct coil_equilibrium at; /* of the last call */
    enum coil_status status;    /* worst that a solve said */
    int solves;
};

/* SI with x mol/kg dropped. Where so much has dropped that no such water is left:
 * minus infinity; where so much has dissolved: NaN. */
static double index_at(struct drop *d, double x)
{
    struct coil_closed_water w = *d->water;
    enum coil_status status;

    w.totals.calcium_mol_per_kg = fmax(w.totals.calcium_mol_per_kg - x, 0);
    w.dic_mol_per_kg = fmax(w.dic_mol_per_kg - x, 0);
    w.alkalinity_eq_per_kg -= 2 * x;
    status = coil_closed_solve(d->constants, &w, &d->at);
    d->solves++;
    if (status >= 0)
        return d->at.si_calcite;
    if (x > 0)
        return -INFINITY;
    d->status = x < 0 ? COIL_ERR_NO_SOLUTION : status;
    return NAN;
}

/* Widens below 0 until the water is oversaturated; 0 when nothing dissolves enough. */
static int find_dissolved(struct drop *d, double *out_low, double *out_high)
{
    double x;

    *out_high = 0;
    for (x = 1e-6; x <= MOST_DISSOLVED_MOL_PER_KG; x *= 4) {
        double index = index_at(d, -x);

        if (isnan(index))
            return 0;
        *out_low = -x;
        if (index > 0)
            return 1;
        *out_high = -x;
    }
    d->status = COIL_ERR_NO_SOLUTION;
    return 0;
}

/*
 * Regula falsi on SI, which falls; the end that stays twice counts half (Illinois). An
 * end at minus infinity (no calcium left) gives no chord: bisected.
 */
static double find_zero(struct drop *d, double low, double high)
{
    double at_low = index_at(d, low), at_high = index_at(d, high), x = low;
    int side = 0, i;

    for (i = 0; i < STEPS_MAX; i++) {
        double index;

        x = (at_low * high - at_high * low) / (at_low - at_high);
        if (!isfinite(at_high) || !(x >= low && x <= high))
            x = (low + high) / 2;
        index = index_at(d, x);
        if (isnan(index) || fabs(index) <= CLOSE_SI || high - low <= CLOSE_MOL_PER_KG)
            return x;
        if (index > 0) {
            low = x;
            at_low = index;
            at_high = side == 1 ? at_high / 2 : at_high;
            side = 1;
        } else {
            high = x;
            at_high = index;
            at_low = side == -1 ? at_low / 2 : at_low;
            side = -1;
        }
    }
    return x;
}

enum coil_status coil_precipitation_solve(const struct coil_constants *constants,
                                          const struct coil_closed_water *water,
                                          struct coil_precipitation *out)
{
    struct drop d = {.constants = constants, .water = water};
    double low = 0, high, x, index = index_at(&d, 0);
    enum coil_status status;

    if (isnan(index))
        return d.status;
    high = fmin(water->totals.calcium_mol_per_kg, water->dic_mol_per_kg);
    if (index < 0 && !find_dissolved(&d, &low, &high))
        return d.status;
    x = find_zero(&d, low, high);
    if (d.status < 0)
        return d.status;
    out->caco3_mol_per_kg = x;
    out->caco3_mg_per_l = x * CACO3_MG_PER_MOL;
    out->settled = d.at;
    out->solves = d.solves;
    status = coil_closed_solve(constants, water, &d.at);
    return status;
}
