/*
 * Pools that do not follow the model of lib/, to test how honest its bands are.
 *
 * On purpose of another structure: sine-shaped light with weather that lasts for days,
 * shielding by a power law of cyanuric acid instead of species, loss of broken order
 * and Arrhenius temperature, demand that wanders and bursts (parties, algae), pH from
 * CO2 and alkalinity, doses of wrong strength or never written down, tests that round
 * to the fields of a strip, carry a bias, or are misread.
 */
#ifndef COIL_POOL_SIM_H
#define COIL_POOL_SIM_H

#include <stddef.h>
#include <stdint.h>

#include "lib/chlorine_fit.h"

enum sim_keeper {
    SIM_BY_HAND, /* tests, then doses to a target */
    SIM_SALT,    /* a cell makes chlorine, not logged */
    SIM_TABLETS, /* trichlor in a feeder, not logged; acid, cyanuric acid rises */
    SIM_INDOOR,  /* by hand, no sun */
    SIM_KEEPER_COUNT
};

struct sim_log {
    struct coil_fit_pool pool; /* what a user would have said */
    enum sim_keeper keeper;
    struct coil_pool_fact *facts; /* the caller's, capacity entries */
    size_t capacity;
    size_t count;
};

/* Simulates days of a pool; the same seed gives the same pool. start_s: UTC. */
void sim_pool_run(uint64_t seed, enum sim_keeper keeper, double start_s, int days,
                  struct sim_log *log);

#endif
