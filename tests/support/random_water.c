#include "tests/support/random_water.h"

#include <math.h>

double random_fraction(struct random_state *state)
{
    uint64_t x = state->word;

    x ^= x >> 12;
    x ^= x << 25;
    x ^= x >> 27;
    state->word = x;
    return (double)((x * UINT64_C(2685821657736338717)) >> 11) * 0x1p-53;
}

double random_between(struct random_state *state, double low, double high)
{
    return low + (high - low) * random_fraction(state);
}

double random_log_between(struct random_state *state, double low, double high)
{
    return low * pow(high / low, random_fraction(state));
}

static double scarce(struct random_state *state, double most)
{
    double amount = random_log_between(state, most * 1e-6, most);

    return random_fraction(state) < 0.5 ? 0 : amount;
}

void random_water_any(struct random_state *state, struct random_water *out)
{
    out->temp_c = random_between(state, 0, 70);
    out->totals.calcium_mol_per_kg = scarce(state, 0.5);
    out->totals.magnesium_mol_per_kg = scarce(state, 0.5);
    out->totals.sodium_mol_per_kg = scarce(state, 2);
    out->totals.chloride_mol_per_kg = scarce(state, 2);
    out->totals.sulfate_mol_per_kg = scarce(state, 0.5);
    out->totals.borate_mol_per_kg = scarce(state, 0.5);
    out->totals.cyanurate_mol_per_kg = scarce(state, 0.5);
    out->totals.chlorine_mol_per_kg = scarce(state, 0.5);
    out->ph = random_between(state, 0, 14);
    out->dic_mol_per_kg = random_log_between(state, 1e-9, 2);
}

void random_water_pool(struct random_state *state, struct random_water *out)
{
    double salt = random_log_between(state, 0.003, 0.1);
    double calcium = random_between(state, 0.0005, 0.006);
    double sulfate = random_fraction(state) < 0.5 ? 0 : random_between(state, 0, 0.003);
    double borate = random_fraction(state) < 0.7 ? 0 : random_between(state, 0, 0.005);

    out->temp_c = random_between(state, 10, 40);
    out->ph = random_between(state, 6.8, 8.2);
    out->dic_mol_per_kg = random_between(state, 0.0008, 0.004);
    out->totals = (struct coil_totals){
        .calcium_mol_per_kg = calcium,
        .sodium_mol_per_kg = salt + out->dic_mol_per_kg + 2 * sulfate,
        .chloride_mol_per_kg = salt + 2 * calcium,
        .sulfate_mol_per_kg = sulfate,
        .borate_mol_per_kg = borate,
        .cyanurate_mol_per_kg = random_between(state, 0, 0.0008),
        .chlorine_mol_per_kg = random_between(state, 0, 0.0001),
    };
}

int random_alkalinity_accepted(const struct coil_equilibrium *water)
{
    return water->alkalinity_eq_per_kg >= -1 && water->alkalinity_eq_per_kg <= 2;
}

int random_alkalinity_tells(const struct coil_equilibrium *water)
{
    double others = water->h_mol_per_kg + water->oh_mol_per_kg +
                    water->hso4_mol_per_kg + water->borate_alkalinity_eq_per_kg +
                    water->cyanurate_alkalinity_eq_per_kg +
                    water->hypochlorite_alkalinity_eq_per_kg;

    return water->pco2_atm <= 10 &&
           water->carbonate_alkalinity_eq_per_kg > 1e-3 * others;
}

int random_pressure_tells(const struct coil_equilibrium *water)
{
    return water->pco2_atm <= 10 &&
           water->dic_mol_per_kg - water->co2_mol_per_kg > 1e-3 * water->dic_mol_per_kg;
}
