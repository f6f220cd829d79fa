#include "composition.h"

#include <math.h>
#include <stddef.h>

double coil_mg_per_l_from_alkalinity(double alkalinity_eq_per_kg)
{
    return alkalinity_eq_per_kg * 1000 * COIL_CACO3_G_PER_EQ;
}

double coil_alkalinity_from_mg_per_l(double total_alkalinity_mg_per_l_caco3)
{
    return total_alkalinity_mg_per_l_caco3 / (1000 * COIL_CACO3_G_PER_EQ);
}

double coil_mg_per_l_from_calcium(double calcium_mol_per_kg)
{
    return calcium_mol_per_kg * 1000 * COIL_CACO3_G_PER_MOL;
}

/* One value with the quantity that names it and the lowest that has a meaning. */
struct part {
    double value;
    enum coil_quantity field;
    double lowest;
};

static enum coil_status refuse(enum coil_status status, enum coil_quantity field,
                               enum coil_quantity *out_field)
{
    if (out_field != NULL)
        *out_field = field;
    return status;
}

static enum coil_status check_parts(const struct coil_composition *c,
                                    enum coil_quantity *out_field)
{
    const struct part parts[] = {
        {c->total_alkalinity_mg_per_l_caco3, COIL_TOTAL_ALKALINITY, -2000},
        {c->calcium_hardness_mg_per_l_caco3, COIL_CALCIUM_HARDNESS, 0},
        {c->magnesium_mg_per_l, COIL_MAGNESIUM, 0},
        {c->salt_mg_per_l_nacl, COIL_SALT, 0},
        {c->sulfate_mg_per_l, COIL_SULFATE, 0},
        {c->borate_mg_per_l_b, COIL_BORATE, 0},
        {c->cyanuric_acid_mg_per_l, COIL_CYANURIC_ACID, 0},
        {c->chlorine_mg_per_l, COIL_FREE_CHLORINE, 0},
    };
    size_t i;

    for (i = 0; i < sizeof parts / sizeof *parts; i++) {
        const struct coil_quantity_info *info = coil_quantity_info(parts[i].field);

        if (!isfinite(parts[i].value))
            return refuse(COIL_ERR_NOT_FINITE, parts[i].field, out_field);
        if (!(parts[i].value >= parts[i].lowest &&
              parts[i].value <= info->possible_high))
            return refuse(COIL_ERR_DOMAIN, parts[i].field, out_field);
    }
    return COIL_OK;
}

enum coil_status
coil_totals_from_composition(const struct coil_composition *composition,
                             struct coil_totals *out_totals,
                             enum coil_quantity *out_field)
{
    const struct coil_composition *c = composition;
    enum coil_status status = check_parts(c, out_field);
    double salt, alkalinity;
    struct coil_totals t;

    if (status != COIL_OK)
        return status;
    salt = c->salt_mg_per_l_nacl / (1000 * COIL_NACL_G_PER_MOL);
    alkalinity = coil_alkalinity_from_mg_per_l(c->total_alkalinity_mg_per_l_caco3);
    t.calcium_mol_per_kg =
        c->calcium_hardness_mg_per_l_caco3 / (1000 * COIL_CACO3_G_PER_MOL);
    t.magnesium_mol_per_kg = c->magnesium_mg_per_l / (1000 * COIL_MAGNESIUM_G_PER_MOL);
    t.sulfate_mol_per_kg = c->sulfate_mg_per_l / (1000 * COIL_SULFATE_G_PER_MOL);
    t.borate_mol_per_kg = c->borate_mg_per_l_b / (1000 * COIL_BORON_G_PER_MOL);
    t.cyanurate_mol_per_kg =
        c->cyanuric_acid_mg_per_l / (1000 * COIL_CYANURIC_ACID_G_PER_MOL);
    t.chlorine_mol_per_kg = c->chlorine_mg_per_l / (1000 * COIL_CHLORINE_G_PER_MOL);
    t.sodium_mol_per_kg = salt + alkalinity + 2 * t.sulfate_mol_per_kg;
    t.chloride_mol_per_kg = salt + 2 * (t.calcium_mol_per_kg + t.magnesium_mol_per_kg);
    if (t.sodium_mol_per_kg < 0) { /* strong acid: the chloride beyond sodium's */
        t.chloride_mol_per_kg -= t.sodium_mol_per_kg;
        t.sodium_mol_per_kg = 0;
    }
    *out_totals = t;
    return COIL_OK;
}

enum coil_status coil_water_from_composition(const struct coil_composition *composition,
                                             enum coil_cyanurate_source source,
                                             struct coil_constants *out_constants,
                                             struct coil_totals *out_totals,
                                             struct coil_equilibrium *out_water,
                                             enum coil_quantity *out_field)
{
    const struct coil_composition *c = composition;
    struct coil_constants constants;
    struct coil_totals totals;
    enum coil_status status = coil_totals_from_composition(c, &totals, out_field);

    if (status != COIL_OK)
        return status;
    status = coil_constants_at(c->water_temp_c, source, &constants);
    if (status == COIL_ERR_UNKNOWN)
        return status;
    if (status != COIL_OK)
        return refuse(status, COIL_WATER_TEMP, out_field);
    if (!isfinite(c->ph))
        return refuse(COIL_ERR_NOT_FINITE, COIL_PH, out_field);
    if (!(c->ph >= 0 && c->ph <= 14))
        return refuse(COIL_ERR_DOMAIN, COIL_PH, out_field);
    status = coil_equilibrium_solve(
        &constants, &totals, COIL_GIVEN_PH_ALKALINITY, c->ph,
        coil_alkalinity_from_mg_per_l(c->total_alkalinity_mg_per_l_caco3), out_water);
    if (status < 0)
        return refuse(status, COIL_TOTAL_ALKALINITY, out_field);
    *out_constants = constants;
    *out_totals = totals;
    return status;
}

enum coil_status coil_salt_from_tds(const struct coil_composition *composition,
                                    double tds_mg_per_l, double *out_salt_mg_per_l)
{
    /* g/mol of CaCl2, MgCl2, NaHCO3, Na2SO4, H3BO3. [iupac-atomic-weights] */
    static const double CACL2 = 110.984, MGCL2 = 95.211, NAHCO3 = 84.007;
    static const double NA2SO4 = 142.04, H3BO3 = 61.833;
    const struct coil_composition *c = composition;
    double rest = c->calcium_hardness_mg_per_l_caco3 * CACL2 / COIL_CACO3_G_PER_MOL +
                  c->magnesium_mg_per_l * MGCL2 / COIL_MAGNESIUM_G_PER_MOL +
                  c->total_alkalinity_mg_per_l_caco3 * NAHCO3 / COIL_CACO3_G_PER_EQ +
                  c->sulfate_mg_per_l * NA2SO4 / COIL_SULFATE_G_PER_MOL +
                  c->borate_mg_per_l_b * H3BO3 / COIL_BORON_G_PER_MOL +
                  c->cyanuric_acid_mg_per_l;

    if (!isfinite(tds_mg_per_l) || !isfinite(rest))
        return COIL_ERR_NOT_FINITE;
    if (!(tds_mg_per_l >= 0))
        return COIL_ERR_DOMAIN;
    *out_salt_mg_per_l = fmax(tds_mg_per_l - rest, 0);
    return COIL_OK;
}
