#include "import_units.h"

#include <math.h>
#include <string.h>

#include "import_dates.h"

#define SPELLING_SIZE 48
#define KEYS_MAX 3

/*
 * Spellings without blanks, small, "per" as a slash. The first key whose dimension is
 * the quantity's counts: "°f" is Fahrenheit of a temperature and the French degree of a
 * hardness. No key: a unit, but of nothing that is measured here.
 */
static const struct {
    const char *spelling;
    const char *keys[KEYS_MAX];
} spellings[] = {
    {"ppm", {"ppm", "ppm_caco3"}},
    {"mg/l", {"mg_per_l", "mg_per_l_caco3"}},
    {"mgl", {"mg_per_l", "mg_per_l_caco3"}},
    {"mg/liter", {"mg_per_l", "mg_per_l_caco3"}},
    {"mg/litre", {"mg_per_l", "mg_per_l_caco3"}},
    {"mg/litro", {"mg_per_l", "mg_per_l_caco3"}},
    {"g/m3", {"mg_per_l", "mg_per_l_caco3"}},
    {"ppmcaco3", {"ppm_caco3"}},
    {"ppmascaco3", {"ppm_caco3"}},
    {"mg/lcaco3", {"mg_per_l_caco3"}},
    {"mg/lascaco3", {"mg_per_l_caco3"}},
    {"caco3", {"mg_per_l_caco3"}},
    {"mg/lcl2", {"mg_per_l"}},
    {"mg/lb", {"mg_per_l"}},
    {"mg/lnacl", {"mg_per_l"}},
    {"ppb", {"ppb"}},
    {"ug/l", {"ug_per_l"}},
    {"\xC2\xB5g/l", {"ug_per_l"}},
    {"\xCE\xBCg/l", {"ug_per_l"}},
    {"g/l", {"g_per_l"}},
    {"ppt", {"g_per_l"}}, /* parts per thousand, of salt */
    {"\xC2\xB0"
     "dh",
     {"dh"}},
    {"dh", {"dh"}},
    {"graddh", {"dh"}},
    {"\xC2\xB0"
     "fh",
     {"fh"}},
    {"fh", {"fh"}},
    {"\xC2\xB0"
     "e",
     {"eh"}},
    {"clark", {"eh"}},
    {"gpg", {"gpg"}},
    {"gr/gal", {"gpg"}},
    {"mmol/l", {"mmol_per_l_ca", "mmol_per_l_acid"}},
    {"meq/l", {"meq_per_l"}},
    {"mval/l", {"meq_per_l"}},
    {"mg/lca", {"mg_per_l_ca"}},
    {"\xC2\xB0"
     "c",
     {"c"}},
    {"c", {"c"}},
    {"degc", {"c"}},
    {"celsius", {"c"}},
    {"gradc", {"c"}},
    {"\xC2\xB0"
     "f",
     {"f", "fh"}},
    {"f", {"f"}},
    {"degf", {"f"}},
    {"fahrenheit", {"f"}},
    {"k", {"k"}},
    {"kelvin", {"k"}},
    {"mv", {NULL}},
    {"millivolt", {NULL}},
    {"v", {NULL}},
    {"%", {NULL}},
    {"g", {NULL}},
    {"kg", {NULL}},
    {"oz", {NULL}},
    {"lb", {NULL}},
    {"lbs", {NULL}},
    {"l", {NULL}},
    {"ml", {NULL}},
    {"gal", {NULL}},
    {"m3", {NULL}},
    {"psi", {NULL}},
    {"bar", {NULL}},
    {"us/cm", {NULL}},
    {"\xC2\xB5s/cm", {NULL}},
};

#define SPELLING_COUNT (sizeof spellings / sizeof spellings[0])

/* Small, without blanks, "per" and "pro" as a slash, both signs of a degree as one. */
static void compact(const char *text, size_t length, char *out)
{
    char folded[SPELLING_SIZE];
    size_t used = 0;

    if (length >= SPELLING_SIZE - 2)
        length = SPELLING_SIZE - 3;
    import_fold(text, length, folded, sizeof folded);
    for (const char *at = folded; *at != '\0'; at++) {
        if (*at == ' ' || *at == '_' || *at == '.')
            continue;
        if (used > 0 && (strncmp(at, "per", 3) == 0 || strncmp(at, "pro", 3) == 0)) {
            out[used++] = '/';
            at += 2;
        } else if (memcmp(at, "\xC2\xBA", 2) == 0) { /* masculine ordinal */
            memcpy(out + used, "\xC2\xB0", 2);
            used += 2;
            at++;
        } else if (memcmp(at, "\xC2\xB3", 2) == 0) { /* superscript three */
            out[used++] = '3';
            at++;
        } else {
            out[used++] = *at;
        }
    }
    out[used] = '\0';
}

static size_t find_spelling(const char *text, size_t length, char *out_compact)
{
    size_t i;

    compact(text, length, out_compact);
    for (i = 0; i < SPELLING_COUNT; i++)
        if (strcmp(spellings[i].spelling, out_compact) == 0)
            break;
    return i;
}

bool import_unit_is_known(const char *text, size_t length)
{
    char word[SPELLING_SIZE];

    return find_spelling(text, length, word) < SPELLING_COUNT;
}

/* Key of the unit that values are kept in; NULL when no table of units has it. */
static const char *own_unit(enum coil_quantity quantity)
{
    switch (quantity) {
    case COIL_PH:
    case COIL_ORP:
        return NULL;
    case COIL_WATER_TEMP:
        return "c";
    case COIL_TOTAL_ALKALINITY:
    case COIL_CALCIUM_HARDNESS:
        return "mg_per_l_caco3";
    default:
        return "mg_per_l";
    }
}

struct import_scale import_unit_own(void)
{
    return (struct import_scale){.factor = 1};
}

static enum import_unit_fit find_potential(const char *word,
                                           struct import_scale *out_scale)
{
    *out_scale = import_unit_own();
    if (strcmp(word, "v") == 0)
        out_scale->factor = 1000;
    else if (strcmp(word, "mv") != 0 && strcmp(word, "millivolt") != 0)
        return IMPORT_UNIT_UNFIT;
    return IMPORT_UNIT_FITS;
}

/* mmol/L of hardness counts calcium, of alkalinity acid. */
static bool is_of_other_kind(const char *key, enum coil_quantity quantity)
{
    return quantity == COIL_TOTAL_ALKALINITY
               ? strcmp(key, "mmol_per_l_ca") == 0 || strcmp(key, "mg_per_l_ca") == 0
               : strcmp(key, "mmol_per_l_acid") == 0;
}

enum import_unit_fit import_unit_find(const char *text, size_t length,
                                      enum coil_quantity quantity,
                                      struct import_scale *out_scale)
{
    char word[SPELLING_SIZE];
    size_t i = find_spelling(text, length, word);
    const char *own = own_unit(quantity);
    const struct coil_unit *to = NULL;

    if (i == SPELLING_COUNT)
        return IMPORT_UNIT_NONE;
    if (quantity == COIL_ORP)
        return find_potential(word, out_scale);
    if (own == NULL || coil_unit_from_key(own, &to) != COIL_OK)
        return IMPORT_UNIT_UNFIT;
    for (size_t k = 0; k < KEYS_MAX && spellings[i].keys[k] != NULL; k++) {
        const struct coil_unit *from = NULL;

        if (coil_unit_from_key(spellings[i].keys[k], &from) != COIL_OK ||
            from->dimension != to->dimension ||
            is_of_other_kind(spellings[i].keys[k], quantity))
            continue;
        *out_scale = (struct import_scale){.from = from, .to = to, .factor = 1};
        return IMPORT_UNIT_FITS;
    }
    return IMPORT_UNIT_UNFIT;
}

const char *import_unit_choice(enum coil_quantity quantity, size_t n)
{
    static const char *const offered[] = {"mg/L",
                                          "ppm",
                                          "g/L",
                                          "\xC2\xB5g/L",
                                          "ppb",
                                          "\xC2\xB0"
                                          "dH",
                                          "\xC2\xB0"
                                          "fH",
                                          "\xC2\xB0"
                                          "e",
                                          "gpg",
                                          "mmol/L",
                                          "meq/L",
                                          "\xC2\xB0"
                                          "C",
                                          "\xC2\xB0"
                                          "F",
                                          "K",
                                          "mV",
                                          "V"};
    struct import_scale scale;

    for (size_t i = 0; i < sizeof offered / sizeof offered[0]; i++)
        if (import_unit_find(offered[i], strlen(offered[i]), quantity, &scale) ==
                IMPORT_UNIT_FITS &&
            n-- == 0)
            return offered[i];
    return NULL;
}

/* One multiple and one zero: the number stays as it is, to its last digit. */
static bool is_same(const struct coil_unit *from, const struct coil_unit *to)
{
    return from->multiplier * to->divisor == to->multiplier * from->divisor &&
           from->zero == to->zero;
}

bool import_unit_convert(const struct import_scale *scale, int64_t value_e6,
                         int64_t *out_value_e6)
{
    double value;

    if (scale->from == NULL || is_same(scale->from, scale->to)) {
        *out_value_e6 = value_e6 * scale->factor;
        return value_e6 < INT64_MAX / 1000 && value_e6 > -INT64_MAX / 1000;
    }
    if (coil_unit_convert(scale->from, scale->to, (double)value_e6 / 1e6, &value) !=
            COIL_OK ||
        !(fabs(value) < 1e12))
        return false;
    *out_value_e6 = llround(value * 1e6);
    return true;
}
