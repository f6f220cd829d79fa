#include "dose.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

struct reagent {
    const char *key;
    double g_per_mol;
    double alkalinity, carbon, calcium, sodium, chloride, sulfate, borate, cyanurate;
    double chlorine;
};

static const struct reagent REAGENTS[] = {
#define X(name, key, mass, alk, carbon, ca, na, cl, so4, b, cy, chlorine)              \
    {key, mass, alk, carbon, ca, na, cl, so4, b, cy, chlorine},
    COIL_REAGENT_LIST(X)
#undef X
};

const char *coil_reagent_key(enum coil_reagent reagent)
{
    return (unsigned)reagent < COIL_REAGENT_COUNT ? REAGENTS[reagent].key : NULL;
}

enum coil_status coil_reagent_from_key(const char *key, enum coil_reagent *out_reagent)
{
    int i;

    for (i = 0; key != NULL && i < COIL_REAGENT_COUNT; i++) {
        if (strcmp(REAGENTS[i].key, key) == 0) {
            *out_reagent = (enum coil_reagent)i;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

double coil_reagent_g_per_mol(enum coil_reagent reagent)
{
    return (unsigned)reagent < COIL_REAGENT_COUNT ? REAGENTS[reagent].g_per_mol : 0;
}

void coil_closed_from_equilibrium(const struct coil_totals *totals,
                                  const struct coil_equilibrium *water,
                                  struct coil_closed_water *out)
{
    out->totals = *totals;
    out->alkalinity_eq_per_kg = water->alkalinity_eq_per_kg;
    out->dic_mol_per_kg = water->dic_mol_per_kg;
}

enum coil_status coil_closed_solve(const struct coil_constants *constants,
                                   const struct coil_closed_water *water,
                                   struct coil_equilibrium *out)
{
    return coil_equilibrium_solve(constants, &water->totals, COIL_GIVEN_ALKALINITY_DIC,
                                  water->alkalinity_eq_per_kg, water->dic_mol_per_kg,
                                  out);
}

/*
 * Adds amount times what one mol brings. A remainder that is nothing but rounding
 * becomes 0; anything lower is refused.
 */
static int add_to(double *value, double amount)
{
    double sum = *value + amount;

    if (fabs(sum) <= 1e-14 * (fabs(*value) + fabs(amount)))
        sum = 0;
    *value = sum;
    return sum >= 0;
}

static enum coil_status apply(const struct coil_closed_water *water,
                              enum coil_reagent reagent, double mol,
                              struct coil_closed_water *out)
{
    struct coil_closed_water w = *water;
    struct coil_totals *t = &w.totals;
    const struct reagent *r;
    int enough;

    if (!((unsigned)reagent < COIL_REAGENT_COUNT))
        return COIL_ERR_UNKNOWN;
    r = &REAGENTS[reagent];
    enough = add_to(&t->calcium_mol_per_kg, mol * r->calcium);
    enough &= add_to(&t->sodium_mol_per_kg, mol * r->sodium);
    enough &= add_to(&t->chloride_mol_per_kg, mol * r->chloride);
    enough &= add_to(&t->sulfate_mol_per_kg, mol * r->sulfate);
    enough &= add_to(&t->borate_mol_per_kg, mol * r->borate);
    enough &= add_to(&t->cyanurate_mol_per_kg, mol * r->cyanurate);
    enough &= add_to(&t->chlorine_mol_per_kg, mol * r->chlorine);
    enough &= add_to(&w.dic_mol_per_kg, mol * r->carbon);
    w.alkalinity_eq_per_kg += mol * r->alkalinity;
    if (!enough)
        return COIL_ERR_NO_SOLUTION;
    *out = w;
    return COIL_OK;
}

static enum coil_status check_amount(double amount, double highest)
{
    if (!isfinite(amount))
        return COIL_ERR_NOT_FINITE;
    return amount >= 0 && amount <= highest ? COIL_OK : COIL_ERR_DOMAIN;
}

enum coil_status coil_dose_add(const struct coil_closed_water *water,
                               enum coil_reagent reagent, double mol_per_kg,
                               struct coil_closed_water *out)
{
    enum coil_status status = check_amount(mol_per_kg, HUGE_VAL);

    return status == COIL_OK ? apply(water, reagent, mol_per_kg, out) : status;
}

enum coil_status coil_dose_take(const struct coil_closed_water *water,
                                enum coil_reagent reagent, double mol_per_kg,
                                struct coil_closed_water *out)
{
    enum coil_status status = check_amount(mol_per_kg, HUGE_VAL);

    return status == COIL_OK ? apply(water, reagent, -mol_per_kg, out) : status;
}

enum coil_status coil_chlorine_spend(const struct coil_closed_water *water,
                                     double fraction, struct coil_closed_water *out)
{
    enum coil_status status = check_amount(fraction, 1);
    double spent = fraction * water->totals.chlorine_mol_per_kg;

    if (status != COIL_OK)
        return status;
    *out = *water;
    out->totals.chlorine_mol_per_kg -= spent;
    out->totals.chloride_mol_per_kg += spent;
    out->alkalinity_eq_per_kg -= spent;
    return COIL_OK;
}

static double mixed(double water, double fill, double fill_fraction)
{
    return water + fill_fraction * (fill - water);
}

enum coil_status coil_water_mix(const struct coil_closed_water *water,
                                const struct coil_closed_water *fill,
                                double fill_fraction, struct coil_closed_water *out)
{
    enum coil_status status = check_amount(fill_fraction, 1);
    const struct coil_totals *a = &water->totals, *b = &fill->totals;
    double f = fill_fraction;

    if (status != COIL_OK)
        return status;
    *out = (struct coil_closed_water){
        .totals =
            {
                mixed(a->calcium_mol_per_kg, b->calcium_mol_per_kg, f),
                mixed(a->magnesium_mol_per_kg, b->magnesium_mol_per_kg, f),
                mixed(a->sodium_mol_per_kg, b->sodium_mol_per_kg, f),
                mixed(a->chloride_mol_per_kg, b->chloride_mol_per_kg, f),
                mixed(a->sulfate_mol_per_kg, b->sulfate_mol_per_kg, f),
                mixed(a->borate_mol_per_kg, b->borate_mol_per_kg, f),
                mixed(a->cyanurate_mol_per_kg, b->cyanurate_mol_per_kg, f),
                mixed(a->chlorine_mol_per_kg, b->chlorine_mol_per_kg, f),
            },
        .alkalinity_eq_per_kg =
            mixed(water->alkalinity_eq_per_kg, fill->alkalinity_eq_per_kg, f),
        .dic_mol_per_kg = mixed(water->dic_mol_per_kg, fill->dic_mol_per_kg, f),
    };
    return COIL_OK;
}

enum coil_status coil_outgas_to_pressure(const struct coil_constants *constants,
                                         const struct coil_closed_water *water,
                                         double pco2_atm,
                                         struct coil_closed_water *out_closed,
                                         struct coil_equilibrium *out)
{
    enum coil_status status =
        coil_equilibrium_solve(constants, &water->totals, COIL_GIVEN_ALKALINITY_PCO2,
                               water->alkalinity_eq_per_kg, pco2_atm, out);

    if (status >= 0 && out_closed != NULL) {
        *out_closed = *water;
        out_closed->dic_mol_per_kg = out->dic_mol_per_kg;
    }
    return status;
}

enum coil_status coil_outgas_share(const struct coil_constants *constants,
                                   const struct coil_closed_water *water,
                                   double removed_fraction,
                                   struct coil_closed_water *out_closed,
                                   struct coil_equilibrium *out)
{
    enum coil_status status = check_amount(removed_fraction, 1);
    struct coil_closed_water left = *water;
    struct coil_equilibrium start;

    if (status != COIL_OK)
        return status;
    status = coil_closed_solve(constants, water, &start);
    if (status < 0)
        return status;
    left.dic_mol_per_kg -= removed_fraction * start.co2_mol_per_kg;
    status = coil_closed_solve(constants, &left, out);
    if (status >= 0 && out_closed != NULL)
        *out_closed = left;
    return status;
}

static enum coil_status worse(enum coil_status a, enum coil_status b)
{
    if (a < 0)
        return a;
    return b < 0 || b > a ? b : a;
}

enum coil_status coil_dose_effect(const struct coil_constants *constants,
                                  const struct coil_closed_water *water,
                                  enum coil_reagent reagent, double mol_per_kg,
                                  double air_pco2_atm, struct coil_dose_effect *out)
{
    struct coil_closed_water dosed, spent;
    struct coil_dose_effect effect;
    enum coil_status status = coil_dose_add(water, reagent, mol_per_kg, &dosed);

    if (status == COIL_OK)
        status = coil_chlorine_spend(&dosed, 1, &spent);
    if (status == COIL_OK)
        status = coil_closed_solve(constants, water, &effect.before);
    if (status >= 0)
        status = worse(status, coil_closed_solve(constants, &dosed, &effect.at_once));
    if (status >= 0)
        status = worse(status, coil_closed_solve(constants, &spent, &effect.spent));
    if (status >= 0)
        status = worse(status, coil_outgas_to_pressure(constants, &spent, air_pco2_atm,
                                                       NULL, &effect.aired));
    if (status >= 0)
        *out = effect;
    return status;
}
