#include "tests/lib/tables_rows.h"

#include <math.h>
#include <string.h>

#include "lib/composition.h"

#define PER_G 0.001 /* g per mg */

int row_amount(const struct table *table, size_t row, const char *exact,
               const char *other, double factor, double *out_value, char *message)
{
    if (table_number(table, row, exact, out_value) == TABLE_NUMBER)
        return 1;
    if (!table_has_column(table, other)) {
        *out_value = 0;
        return 1;
    }
    if (!check_input(table, row, other, out_value, message))
        return 0;
    *out_value *= factor;
    return 1;
}

/* Sodium and chloride by the recipe of the tables where they are not printed. */
static int read_salts(const struct table *table, size_t row, struct row_water *out,
                      char *message)
{
    struct coil_totals *t = &out->totals;
    double salt;

    if (!row_amount(table, row, "salt_molkgw", "salt_mgL_NaCl",
                    PER_G / COIL_NACL_G_PER_MOL, &salt, message))
        return 0;
    t->sodium_mol_per_kg = salt + out->alkalinity;
    t->chloride_mol_per_kg = salt + 2 * t->calcium_mol_per_kg;
    /* Left as they are where the columns are absent or empty. */
    table_number(table, row, "na_molkgw", &t->sodium_mol_per_kg);
    table_number(table, row, "cl_molkgw", &t->chloride_mol_per_kg);
    return 1;
}

int row_water_read(const struct table *table, size_t row,
                   enum coil_cyanurate_source source, struct row_water *out,
                   char *message)
{
    struct coil_totals *t = &out->totals;

    memset(out, 0, sizeof *out);
    if (!check_input(table, row, "t_C", &out->temp_c, message) ||
        !check_input(table, row, "pH", &out->ph, message) ||
        !row_amount(table, row, "alk_eqkgw", "alk_mgL_CaCO3",
                    PER_G / COIL_CACO3_G_PER_EQ, &out->alkalinity, message) ||
        !row_amount(table, row, "ca_molkgw", "ca_mgL_CaCO3",
                    PER_G / COIL_CACO3_G_PER_MOL, &t->calcium_mol_per_kg, message) ||
        !row_amount(table, row, "cya_molkgw", "cya_mgL",
                    PER_G / COIL_CYANURIC_ACID_G_PER_MOL, &t->cyanurate_mol_per_kg,
                    message) ||
        !row_amount(table, row, "b_molkgw", "boron_mgL", PER_G / COIL_BORON_G_PER_MOL,
                    &t->borate_mol_per_kg, message) ||
        !read_salts(table, row, out, message))
        return 0;
    out->status = coil_constants_at(out->temp_c, source, &out->constants);
    return 1;
}

enum coil_status row_water_solve(const struct row_water *water,
                                 struct coil_equilibrium *out)
{
    if (water->status != COIL_OK)
        return water->status;
    return coil_equilibrium_solve(&water->constants, &water->totals,
                                  COIL_GIVEN_PH_ALKALINITY, water->ph,
                                  water->alkalinity, out);
}

static double by_kind(const struct table *table, size_t row, double pool, double film,
                      double all)
{
    const char *kind = table_text(table, row, "kind");

    if (kind != NULL && strcmp(kind, "pool") == 0)
        return pool;
    return kind != NULL && strcmp(kind, "film") == 0 ? film : all;
}

double row_band_phreeqc(const struct table *table, size_t row)
{
    return by_kind(table, row, BAND_PHREEQC_POOL, BAND_PHREEQC_FILM, BAND_PHREEQC_ALL);
}

double row_band_pitzer(const struct table *table, size_t row)
{
    return by_kind(table, row, BAND_PITZER_POOL, BAND_PITZER_FILM, BAND_PITZER_ALL);
}

double row_band(const struct table *table, size_t row, double band, const char *exact,
                const char *other)
{
    double one, two;

    if (table_number(table, row, exact, &one) != TABLE_NUMBER ||
        table_number(table, row, other, &two) != TABLE_NUMBER)
        return band;
    return fmin(fmax(fabs(one - two) + GATE_SI, band), 1.25 * band);
}
