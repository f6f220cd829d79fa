/*
 * Checks unit_conversions.csv against lib/units.h: what one of the unit that `quantity`
 * names is in the unit that `unit` names.
 *
 * Read as names are units by key, symbol or words, the aliases below, and the forms
 * "A in B" (one A in B) and, without a unit, "A per B" (one B in A). Three rows that
 * combine units, a gas and the weight of a gallon of water have lines of their own.
 *
 * Tolerance: "exact or as printed". Exact rows: 1e-12 of the value, some thousand
 * roundings. Others: half of the last digit printed.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/units.h"
#include "lib/water.h"
#include "tests/lib/tables.h"

#define EXACT_RELATIVE 1e-12

/* 24.465 L/mol was used, the molar volume at 25 degC to five digits: half of the last
 * one is 2e-5 of it. */
#define MOLAR_VOLUME_RELATIVE 2.1e-5

/* Kell's density against the IF97 one of the rows: 0.012 kg/m3 at most. */
#define DENSITY_RELATIVE 1.3e-5

#define CO_G_PER_MOL 28.010 /* C 12.011, O 15.999 */

static const struct {
    const char *name;
    const char *key;
} aliases[] = {
    {"US gal", "us_gal"},
    {"imp gal", "imp_gal"},
    {"US gpm", "us_gal_per_min"},
    {"imperial gpm", "imp_gal_per_min"},
    {"Btu_IT", "btu"},
    {"Btu_IT/h", "btu_per_h"},
    {"12000 Btu_IT/h (ton refrig.)", "ton_refrigeration"},
    {"therm (US, Btu59F)", "therm_us"},
    {"therm (EC, Btu_IT)", "therm_ec"},
    {"inHg (0 C conventional)", "in_hg"},
    {"inH2O (60 F)", "in_h2o"},
    {"degF interval", "dt_f"},
    {"degC interval", "dt_k"},
    {"degF", "f"},
    {"degC", "c"},
};

static int is_name_of(const struct coil_unit *unit, const char *name)
{
    for (size_t i = 0; i < sizeof aliases / sizeof aliases[0]; i++)
        if (strcmp(aliases[i].name, name) == 0)
            return strcmp(aliases[i].key, unit->key) == 0;
    return strcmp(unit->key, name) == 0 || strcmp(unit->symbol, name) == 0 ||
           strcmp(unit->words, name) == 0;
}

/* Two units by name, of one dimension where names have two meanings. */
static int find_pair(const char *from_name, const char *to_name,
                     const struct coil_unit **out_from, const struct coil_unit **out_to)
{
    int found = 0;
    const struct coil_unit *from;
    const struct coil_unit *to;

    for (int i = 0; (from = coil_unit_at(i)) != NULL; i++) {
        if (!is_name_of(from, from_name))
            continue;
        for (int j = 0; (to = coil_unit_at(j)) != NULL; j++) {
            if (!is_name_of(to, to_name) || (found && from->dimension != to->dimension))
                continue;
            *out_from = from;
            *out_to = to;
            if (from->dimension == to->dimension)
                return 1;
            found = 1;
        }
    }
    return found;
}

static double convert_one(const char *from_key, const char *to_key)
{
    const struct coil_unit *from = NULL;
    const struct coil_unit *to = NULL;
    double result = NAN;

    if (coil_unit_from_key(from_key, &from) == COIL_OK &&
        coil_unit_from_key(to_key, &to) == COIL_OK)
        coil_unit_convert(from, to, 1.0, &result);
    return result;
}

/* Splits "A in B"; 0 when the text has no such word. */
static int split(const char *text, const char *word, char *first, char *second,
                 size_t size)
{
    const char *at = strstr(text, word);

    if (at == NULL)
        return 0;
    snprintf(first, size, "%.*s", (int)(at - text), text);
    snprintf(second, size, "%s", at + strlen(word));
    return 1;
}

static int find_units(const char *quantity, const char *unit,
                      const struct coil_unit **out_from,
                      const struct coil_unit **out_to)
{
    char first[128];
    char second[128];

    if (find_pair(quantity, unit, out_from, out_to))
        return 1;
    if (split(quantity, " in ", first, second, sizeof first))
        return find_pair(first, second, out_from, out_to);
    if (*unit == '\0' && split(quantity, " per ", first, second, sizeof first))
        return find_pair(second, first, out_from, out_to);
    return 0;
}

/* Rows that are more than one unit; 1 when this is one, with its tolerance. */
static int is_compound(const char *quantity, double *out_got, double *out_relative)
{
    double temp_f;
    double density;

    *out_relative = EXACT_RELATIVE;
    if (strcmp(quantity, "Btu_IT per lb") == 0) {
        *out_got = convert_one("btu", "j") / convert_one("lb", "kg");
        return 1;
    }
    if (strcmp(quantity, "Btu_IT/(lb degF)") == 0) {
        *out_got = convert_one("btu", "j") / convert_one("lb", "kg") /
                   convert_one("dt_f", "dt_k");
        return 1;
    }
    if (strcmp(quantity, "ppm CO to mg/m3 at 25 C") == 0) {
        *out_relative = MOLAR_VOLUME_RELATIVE;
        return coil_gas_mg_per_m3_from_ppm(1.0, CO_G_PER_MOL, 25.0, out_got) == COIL_OK;
    }
    if (sscanf(quantity, "lb water per US gal at %lf F", &temp_f) == 1) {
        if (coil_water_density((temp_f - 32.0) * 5.0 / 9.0, &density) != COIL_OK)
            return 0;
        *out_relative = DENSITY_RELATIVE;
        *out_got = density * convert_one("us_gal", "m3") * convert_one("kg", "lb");
        return 1;
    }
    return 0;
}

static int check_conversion(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"value", NULL};
    const char *quantity = check_text(table, row, "quantity", message);
    const char *unit = check_text(table, row, "unit", message);
    const char *exactness = table_text(table, row, "exactness");
    const struct coil_unit *from;
    const struct coil_unit *to;
    double got = NAN;
    double relative;
    enum check_next next;

    if (quantity == NULL || unit == NULL)
        return 0;
    if (is_compound(quantity, &got, &relative))
        return check_near_relative(table, row, "value", got, relative, message);
    if (!find_units(quantity, unit, &from, &to))
        return check_fail(message, "no unit of ours is called \"%.60s\" or \"%.60s\"",
                          quantity, unit);
    next = check_status(table, row, coil_unit_convert(from, to, 1.0, &got), expected,
                        message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (exactness != NULL && strncmp(exactness, "exact", 5) == 0)
        return check_near_relative(table, row, "value", got, EXACT_RELATIVE, message);
    return check_printed(table, row, "value", got, message);
}

const struct table_check tables_units[] = {
    {"unit_conversions.csv", check_conversion},
    {NULL, NULL},
};
