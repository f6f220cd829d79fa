/*
 * Random waters from all that the equilibrium engine accepts, always the same ones for
 * the same seed.
 */
#ifndef COIL_RANDOM_WATER_H
#define COIL_RANDOM_WATER_H

#include <stdint.h>

#include "lib/equilibrium.h"

struct random_state {
    uint64_t word; /* not 0 */
};

/* Evenly in [0, 1). xorshift64* */
double random_fraction(struct random_state *state);
double random_between(struct random_state *state, double low, double high);
/* Evenly in the logarithm; low > 0. */
double random_log_between(struct random_state *state, double low, double high);

struct random_water {
    double temp_c;
    struct coil_totals totals;
    double ph;
    double dic_mol_per_kg;
};

/* Anything accepted: every total absent half the time, else over six decades up to its
 * maximum; pH 0 to 14, carbon 1e-9 to 2 mol/kg. */
void random_water_any(struct random_state *state, struct random_water *out);

/* A pool: 10 to 40 degC, pH 6.8 to 8.2, and what pools hold. */
void random_water_pool(struct random_state *state, struct random_water *out);

/* 1 when the water's alkalinity is within what the engine accepts. */
int random_alkalinity_accepted(const struct coil_equilibrium *water);

/* 1 when pH and alkalinity tell the carbon: carbonate holds at least a thousandth of
 * the alkalinity's terms, and CO2 stays below the 10 atm that the engine accepts.
 * Below, any carbon would do; above, CO2 by the mole moves the water's activity and
 * with it what the other acids hold. */
int random_alkalinity_tells(const struct coil_equilibrium *water);

/* 1 when carbon and CO2 pressure tell the pH: at least a thousandth is not CO2. */
int random_pressure_tells(const struct coil_equilibrium *water);

#endif
