/*
 * Checks the tables of doses against lib/dose.h and lib/dose_product.h.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/composition.h"
#include "lib/dose_product.h"
#include "tests/lib/tables_rows.h"

#define GATE_TOTAL                                                                     \
    0.001 /* relative: amounts; the program's kg of water moves a little */
#define BAND_DOSED_PH 0.11 /* phreeqc.dat: found up to 0.10 with end pH 6.5 to 8.6 */
/* Ends that hardly anything buffers lie farther apart: found up to 0.19. */
#define BAND_DOSED_PH_ENDS 0.2
#define BAND_DOSED_SI 0.2

/* In these tables chlorine is not bound to cyanurate. */
#define DECK COIL_CYANURATE_NO_CHLORINE

static int read_fill(const struct table *table, size_t row,
                     const struct row_water *water, double *out_fraction,
                     struct coil_closed_water *out, enum coil_status *out_status,
                     char *message)
{
    struct coil_composition c = {.water_temp_c = water->temp_c};
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium fill;

    if (!check_input(table, row, "fill_fraction", out_fraction, message) ||
        !check_input(table, row, "fill_pH", &c.ph, message) ||
        !check_input(table, row, "fill_alk_mgL_CaCO3",
                     &c.total_alkalinity_mg_per_l_caco3, message) ||
        !check_input(table, row, "fill_ca_mgL_CaCO3",
                     &c.calcium_hardness_mg_per_l_caco3, message) ||
        !check_input(table, row, "fill_salt_mgL_NaCl", &c.salt_mg_per_l_nacl, message))
        return 0;
    *out_status =
        coil_water_from_composition(&c, DECK, &constants, &totals, &fill, NULL);
    if (*out_status >= 0)
        coil_closed_from_equilibrium(&totals, &fill, out);
    return 1;
}

/* "HCl" or "HCl+NaHCO3": doses in the columns, mmol per kg. */
static int add_reagents(const struct table *table, size_t row, const char *words,
                        struct coil_closed_water *water, enum coil_status *out_status,
                        char *message)
{
    static const char *const columns[] = {"dose_mmolkgw", "dose2_mmolkgw"};
    int i;

    *out_status = COIL_OK;
    for (i = 0; i < 2 && words != NULL && *out_status == COIL_OK; i++) {
        const char *plus = strchr(words, '+');
        size_t length = plus == NULL ? strlen(words) : (size_t)(plus - words);
        enum coil_reagent reagent;
        char name[40] = "";
        double mmol;

        if (length >= sizeof name)
            return check_fail(message, "reagent %s is not known", words);
        memcpy(name, words, length);
        if (!check_input(table, row, columns[i], &mmol, message))
            return 0;
        *out_status = coil_reagent_from_key(name, &reagent);
        if (*out_status == COIL_OK)
            *out_status = coil_dose_add(water, reagent, mmol / 1000, water);
        words = plus == NULL ? NULL : plus + 1;
    }
    return 1;
}

static int is_mixed(const struct row_water *water, const char *reagent)
{
    return water->totals.cyanurate_mol_per_kg > 0 ||
           water->totals.borate_mol_per_kg > 0 || strstr(reagent, "SO4") != NULL ||
           strstr(reagent, "B4O7") != NULL;
}

static int check_dosed_values(const struct table *table, size_t row,
                              const struct coil_closed_water *closed,
                              const struct coil_equilibrium *w, double gate,
                              char *message)
{
    double other = w->ph, band;

    table_number(table, row, "out_pH", &other);
    band = fmin(w->ph, other) >= 6.5 && fmax(w->ph, other) <= 8.6 ? BAND_DOSED_PH
                                                                  : BAND_DOSED_PH_ENDS;

    return check_near(table, row, "w4f_out_pH", w->ph, gate, message) &&
           check_near(table, row, "w4f_out_si_calcite", w->si_calcite, gate, message) &&
           check_near_relative(table, row, "w4f_out_dic_molkgw", w->dic_mol_per_kg,
                               GATE_DIC, message) &&
           check_near(table, row, "out_alk_mgL_CaCO3",
                      coil_mg_per_l_from_alkalinity(w->alkalinity_eq_per_kg), 0.1,
                      message) &&
           check_near_relative(table, row, "out_ca_molkgw",
                               closed->totals.calcium_mol_per_kg, GATE_TOTAL,
                               message) &&
           check_near_relative(table, row, "out_na_molkgw",
                               closed->totals.sodium_mol_per_kg, GATE_TOTAL, message) &&
           check_near(table, row, "out_pH", w->ph,
                      row_band(table, row, band, "w4f_out_pH", "out_pH"), message) &&
           check_near(table, row, "out_si_calcite", w->si_calcite,
                      row_band(table, row, BAND_DOSED_SI, "w4f_out_si_calcite",
                               "out_si_calcite"),
                      message);
}

static int check_dosing(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"w4f_out_pH", "w4f_out_si_calcite", NULL};
    const char *reagent = check_text(table, row, "reagent", message);
    struct coil_equilibrium w = {0};
    struct coil_closed_water closed = {0}, fill = {0};
    struct row_water water;
    enum coil_status status;
    enum check_next next;
    double fraction = 0;
    int dilution;

    if (reagent == NULL || !row_water_read(table, row, DECK, &water, message))
        return 0;
    dilution = strcmp(reagent, "dilution") == 0;
    status = row_water_solve(&water, &w);
    coil_closed_from_equilibrium(&water.totals, &w, &closed);
    if (status >= 0 && dilution) {
        if (!read_fill(table, row, &water, &fraction, &fill, &status, message))
            return 0;
        if (status >= 0)
            status = coil_water_mix(&closed, &fill, fraction, &closed);
    } else if (status >= 0 &&
               !add_reagents(table, row, reagent, &closed, &status, message)) {
        return 0;
    }
    if (status >= 0)
        status = coil_closed_solve(&water.constants, &closed, &w);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_dosed_values(table, row, &closed, &w,
                              is_mixed(&water, reagent) ? GATE_DOSED_MIXED : GATE_DOSED,
                              message);
}

/* From an empty pH: nothing but alkalinity is known, and nothing else is needed. */
static int open_to_air(const struct table *table, size_t row,
                       const struct row_water *water, struct coil_equilibrium *out,
                       enum coil_status *out_status, char *message)
{
    double log_pco2;

    if (!check_input(table, row, "w4f_out_log_pCO2", &log_pco2, message))
        return 0;
    *out_status = water->status;
    if (*out_status == COIL_OK)
        *out_status = coil_equilibrium_solve(
            &water->constants, &water->totals, COIL_GIVEN_ALKALINITY_PCO2,
            water->alkalinity, isnan(log_pco2) ? NAN : pow(10, log_pco2), out);
    return 1;
}

static int lose_co2(const struct table *table, size_t row,
                    const struct row_water *water, struct coil_equilibrium *out,
                    enum coil_status *out_status, char *message)
{
    struct coil_equilibrium start = {0};
    struct coil_closed_water closed;
    double removed_mmol;

    if (!check_input(table, row, "removed_dic_mmolkgw", &removed_mmol, message))
        return 0;
    *out_status = row_water_solve(water, &start);
    if (*out_status < 0)
        return 1;
    coil_closed_from_equilibrium(&water->totals, &start, &closed);
    closed.dic_mol_per_kg -= removed_mmol / 1000;
    *out_status = coil_closed_solve(&water->constants, &closed, out);
    return check_near_relative(table, row, "w4f_start_dic_molkgw", start.dic_mol_per_kg,
                               GATE_DIC, message);
}

static int check_outgas(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"w4f_out_pH", "w4f_out_dic_molkgw", NULL};
    const char *kind = check_text(table, row, "kind", message);
    struct coil_equilibrium w = {0};
    struct row_water water;
    enum coil_status status;
    enum check_next next;

    if (kind == NULL || !row_water_read(table, row, DECK, &water, message))
        return 0;
    if (strcmp(kind, "equilibrium") == 0) {
        if (!open_to_air(table, row, &water, &w, &status, message))
            return 0;
    } else if (strcmp(kind, "remove") == 0) {
        if (!lose_co2(table, row, &water, &w, &status, message))
            return 0;
    } else {
        return check_fail(message, "kind %s is not known", kind);
    }
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "w4f_out_pH", w.ph, GATE_OUTGAS_PH, message) &&
           check_near_relative(table, row, "w4f_out_dic_molkgw", w.dic_mol_per_kg,
                               GATE_DIC, message) &&
           check_near(table, row, "w4f_out_si_calcite", w.si_calcite, GATE_DOSED,
                      message) &&
           check_near(table, row, "w4f_out_log_pCO2", log10(w.pco2_atm), GATE_DOSED,
                      message) &&
           check_near(table, row, "out_pH", w.ph,
                      row_band(table, row, BAND_DOSED_PH, "w4f_out_pH", "out_pH"),
                      message) &&
           check_near(table, row, "out_si_calcite", w.si_calcite,
                      row_band(table, row, BAND_PHREEQC_ALL, "w4f_out_si_calcite",
                               "out_si_calcite"),
                      message);
}

/* Names of side_effects.csv and doses.csv begin so. */
struct product_words {
    const char *words;
    enum coil_product product;
    double strength_percent; /* of the pure substance where the row names none */
};

static const struct product_words PRODUCTS[] = {
    {"sodium bicarbonate", COIL_SODIUM_BICARBONATE, 100},
    {"soda ash", COIL_SODIUM_CARBONATE, 100},
    {"calcium chloride dihydrate", COIL_CALCIUM_CHLORIDE, 100 * 110.984 / 147.014},
    {"calcium chloride anhydrous", COIL_CALCIUM_CHLORIDE, 100},
    {"cyanuric acid", COIL_CYANURIC_ACID_PRODUCT, 100},
    {"chlorine gas", COIL_CHLORINE_GAS, 100},
    {"calcium hypochlorite", COIL_CALCIUM_HYPOCHLORITE, 99.18},
    {"trichlor", COIL_TRICHLOR, 91.53},
    {"dichlor", COIL_DICHLOR, 55.40},
    {"lithium hypochlorite", COIL_LITHIUM_HYPOCHLORITE, 100},
    {"sodium hypochlorite", COIL_SODIUM_HYPOCHLORITE, 100},
    {"hypochlorite", COIL_SODIUM_HYPOCHLORITE, 100},
    {"hydrochloric acid", COIL_HYDROCHLORIC_ACID, 31.45},
    {"sodium thiosulfate", COIL_SODIUM_THIOSULFATE, 100},
    {"sodium sulfite", COIL_SODIUM_SULFITE, 100},
    {"borax", COIL_BORAX, 100},
    {"boric acid", COIL_BORIC_ACID, 100},
    {"sodium chloride", COIL_SODIUM_CHLORIDE, 100},
    {"sodium bisulfate", COIL_SODIUM_BISULFATE, 100},
};

/* The number before a percent sign, or before "% trade"; NaN without one. */
static double percent_in(const char *words)
{
    const char *sign = strchr(words, '%'), *start = sign;

    if (sign == NULL)
        return NAN;
    while (start > words && strchr("0123456789. ", start[-1]) != NULL)
        start--;
    return strtod(start, NULL);
}

static const struct product_words *product_in(const char *words)
{
    size_t i;

    for (i = 0; i < sizeof PRODUCTS / sizeof *PRODUCTS; i++) {
        if (strncmp(words, PRODUCTS[i].words, strlen(PRODUCTS[i].words)) == 0)
            return &PRODUCTS[i];
    }
    return NULL;
}

/* A pool water of ample everything, so that nothing falls below 0. */
static const struct coil_closed_water AMPLE = {
    .totals = {0.01, 0.01, 0.1, 0.1, 0.01, 0.01, 0.01, 0.01},
    .alkalinity_eq_per_kg = 0.01,
    .dic_mol_per_kg = 0.01,
};

/* Change of the value that a row of doses.csv speaks of, in the row's unit. */
static double effect_of(const char *effect, const struct coil_closed_water *a,
                        const struct coil_closed_water *b)
{
    if (strncmp(effect, "alkalinity", 10) == 0)
        return coil_mg_per_l_from_alkalinity(b->alkalinity_eq_per_kg -
                                             a->alkalinity_eq_per_kg);
    if (strncmp(effect, "Ca hardness", 11) == 0)
        return coil_mg_per_l_from_calcium(b->totals.calcium_mol_per_kg -
                                          a->totals.calcium_mol_per_kg);
    if (strncmp(effect, "cyanuric acid", 13) == 0)
        return 1000 * COIL_CYANURIC_ACID_G_PER_MOL *
               (b->totals.cyanurate_mol_per_kg - a->totals.cyanurate_mol_per_kg);
    if (strncmp(effect, "chlorine", 8) == 0)
        return 1000 * COIL_CHLORINE_G_PER_MOL *
               (b->totals.chlorine_mol_per_kg - a->totals.chlorine_mol_per_kg);
    if (strncmp(effect, "boron", 5) == 0)
        return 1000 * COIL_BORON_G_PER_MOL *
               (b->totals.borate_mol_per_kg - a->totals.borate_mol_per_kg);
    if (strncmp(effect, "salt", 4) == 0)
        return 1000 * COIL_NACL_G_PER_MOL *
               (b->totals.chloride_mol_per_kg - a->totals.chloride_mol_per_kg);
    return NAN;
}

#define TEN_THOUSAND_US_GALLONS_M3 37.85411784
#define DOSE_RELATIVE 0.001

/* Grams or mL per m3 that change the value by one: 1 over the effect of one. */
static int check_doses(const struct table *table, size_t row, char *message)
{
    const char *words = check_text(table, row, "product", message);
    const char *effect = check_text(table, row, "effect", message);
    const struct product_words *product = words == NULL ? NULL : product_in(words);
    struct coil_closed_water dosed;
    struct coil_dose dose;
    double change, strength, got, ten_thousand;

    if (effect == NULL || product == NULL)
        return check_fail(message, "product is not known");
    if (!check_input(table, row, "change", &change, message))
        return 0;
    strength = percent_in(words);
    if (isnan(strength) || strstr(words, "100 %") != NULL)
        strength = product->strength_percent;
    if (coil_dose_from_product(product->product, 1, strength, 1, &dose) < 0 ||
        coil_dose_apply(&AMPLE, &dose, &dosed) < 0)
        return check_fail(message, "refused");
    got = 1 / fabs(effect_of(effect, &AMPLE, &dosed));
    if (product->product == COIL_SODIUM_THIOSULFATE) {
        /* The row prints the field figure; stoichiometry's two ends hold it between. */
        double low = got, high;

        coil_dose_thiosulfate_half(&dose);
        coil_dose_apply(&AMPLE, &dose, &dosed);
        high = 1 / fabs(effect_of(effect, &AMPLE, &dosed));
        if (table_number(table, row, "g_per_m3_per_unit", &got) != TABLE_NUMBER)
            return 1;
        return (got >= low && got <= high) ||
               check_fail(message, "%g g is outside %g to %g", got, low, high);
    }
    ten_thousand = got * change * TEN_THOUSAND_US_GALLONS_M3;
    return check_near_relative(table, row, "g_per_m3_per_unit", got, DOSE_RELATIVE,
                               message) &&
           check_near(table, row, "g_per_10k_gal", ten_thousand,
                      fmax(DOSE_RELATIVE * ten_thousand,
                           check_half_digit(table, row, "g_per_10k_gal")),
                      message);
}

/* mg/L that one mg/L of chlorine as Cl2 brings. */
static int check_effects(const struct table *table, size_t row,
                         const struct coil_closed_water *dosed, char *message)
{
    struct coil_closed_water before, after;
    double rise = effect_of("chlorine", &AMPLE, dosed);
    double chloride;

    if (coil_chlorine_spend(&AMPLE, 1, &before) != COIL_OK ||
        coil_chlorine_spend(dosed, 1, &after) != COIL_OK)
        return check_fail(message, "spending refused");
    chloride = 1000 * 35.453 *
               (after.totals.chloride_mol_per_kg - before.totals.chloride_mol_per_kg);
    return check_near(table, row, "alk_on_adding",
                      effect_of("alkalinity", &AMPLE, dosed) / rise, 0.001, message) &&
           check_near(table, row, "alk_after_spent",
                      effect_of("alkalinity", &before, &after) / rise, 0.001,
                      message) &&
           check_near(table, row, "ca_hardness",
                      effect_of("Ca hardness", &AMPLE, dosed) / rise, 0.001, message) &&
           check_near(table, row, "cyanuric_acid",
                      effect_of("cyanuric acid", &AMPLE, dosed) / rise, 0.001,
                      message) &&
           check_near(table, row, "chloride_after_spent", chloride / rise, 0.001,
                      message);
}

static int check_side_effects(const struct table *table, size_t row, char *message)
{
    const char *words = check_text(table, row, "source", message);
    const struct product_words *product = words == NULL ? NULL : product_in(words);
    struct coil_closed_water dosed = AMPLE;
    struct coil_dose dose;

    if (words != NULL && strcmp(words, "electrolysis of salt") == 0) {
        if (coil_dose_add(&AMPLE, COIL_REAGENT_SALT_CELL, 1e-4, &dosed) != COIL_OK)
            return check_fail(message, "refused");
        return check_effects(table, row, &dosed, message);
    }
    if (product == NULL)
        return check_fail(message, "source is not known");
    if (coil_dose_from_product(product->product, 1, product->strength_percent, 1,
                               &dose) < 0 ||
        coil_dose_apply(&AMPLE, &dose, &dosed) != COIL_OK)
        return check_fail(message, "refused");
    return check_effects(table, row, &dosed, message);
}

/* Which reagent a substance of products.csv is; molar masses count its hydrate. */
struct substance {
    const char *name;
    enum coil_reagent reagent;
    double water_g_per_mol; /* of the hydrate */
    enum coil_product product;
};

#define NO_PRODUCT COIL_OTHER_PRODUCT

static const struct substance SUBSTANCES[] = {
    {"sodium hypochlorite", COIL_REAGENT_NAOCL, 0, COIL_SODIUM_HYPOCHLORITE},
    {"calcium hypochlorite", COIL_REAGENT_CAOCL2, 0, COIL_CALCIUM_HYPOCHLORITE},
    {"lithium hypochlorite", COIL_REAGENT_LIOCL, 0, COIL_LITHIUM_HYPOCHLORITE},
    {"trichlor", COIL_REAGENT_TRICHLOR, 0, COIL_TRICHLOR},
    {"dichlor anhydrous", COIL_REAGENT_DICHLOR, 0, NO_PRODUCT},
    {"dichlor dihydrate", COIL_REAGENT_DICHLOR, 2 * 18.015, COIL_DICHLOR},
    {"chlorine gas", COIL_REAGENT_CL2, 0, COIL_CHLORINE_GAS},
    {"hydrochloric acid 20 Be", COIL_REAGENT_HCL, 0, NO_PRODUCT},
    {"sodium bisulfate", COIL_REAGENT_NAHSO4, 0, NO_PRODUCT},
    {"soda ash", COIL_REAGENT_NA2CO3, 0, NO_PRODUCT},
    {"sodium bicarbonate", COIL_REAGENT_NAHCO3, 0, NO_PRODUCT},
    {"borax decahydrate", COIL_REAGENT_BORAX, 10 * 18.015, NO_PRODUCT},
    {"boric acid", COIL_REAGENT_BORIC_ACID, 0, NO_PRODUCT},
    {"calcium chloride dihydrate", COIL_REAGENT_CACL2, 2 * 18.015, NO_PRODUCT},
    {"calcium chloride anhydrous", COIL_REAGENT_CACL2, 0, NO_PRODUCT},
    {"cyanuric acid", COIL_REAGENT_CYANURIC_ACID, 0, NO_PRODUCT},
    {"sodium thiosulfate pentahydrate", COIL_REAGENT_THIOSULFATE_FULL, 5 * 18.015,
     NO_PRODUCT},
    {"sodium sulfite", COIL_REAGENT_NA2SO3, 0, NO_PRODUCT},
};

static int check_products(const struct table *table, size_t row, char *message)
{
    const char *name = check_text(table, row, "name", message);
    size_t i;

    for (i = 0; name != NULL && i < sizeof SUBSTANCES / sizeof *SUBSTANCES; i++) {
        const struct substance *s = &SUBSTANCES[i];
        double density;

        if (strcmp(s->name, name) != 0)
            continue;
        if (s->reagent == COIL_REAGENT_HCL &&
            table_number(table, row, "density", &density) == TABLE_NUMBER &&
            !check_near(table, row, "density", coil_hydrochloric_density(31.45), 0.0005,
                        message))
            return 0;
        return check_near(table, row, "molar_mass",
                          coil_reagent_g_per_mol(s->reagent) + s->water_g_per_mol,
                          0.015, message) &&
               (s->product == NO_PRODUCT ||
                check_near(table, row, "available_cl_pure_pct",
                           coil_product_pure_chlorine_percent(s->product), 0.05,
                           message));
    }
    return check_fail(message, "substance is not known");
}

/* Solutions of solution_pH.csv: g per kg of water of one reagent. */
struct solution {
    const char *words;
    enum coil_reagent reagent;
    double g_per_kg;
};

static const struct solution SOLUTIONS[] = {
    {"trichlor 1 %", COIL_REAGENT_TRICHLOR, 10},
    {"dichlor 1 %", COIL_REAGENT_DICHLOR, 10 * 219.950 / 255.980},
    {"sodium hypochlorite 1 % without caustic", COIL_REAGENT_NAOCL, 10},
    {"soda ash 1 %", COIL_REAGENT_NA2CO3, 10},
    {"sodium bicarbonate 1 %", COIL_REAGENT_NAHCO3, 10},
    {"borax 1 %", COIL_REAGENT_BORAX, 10 * 201.22 / 381.370},
    {"sodium bisulfate 1 %", COIL_REAGENT_NAHSO4, 10},
    {"cyanuric acid, saturated, 2.7 g/L", COIL_REAGENT_CYANURIC_ACID, 2.7},
};

/* Rows marked "uncorrected" leave activities out, which in such strong solutions is
 * worth 0.34 (bicarbonate) and 0.38 (soda ash). */
#define SOLUTION_PH 0.2
#define SOLUTION_PH_UNCORRECTED 0.4

static enum coil_status solution_ph(const struct solution *s, double *out_ph)
{
    struct coil_closed_water water = {0};
    struct coil_equilibrium w;
    struct coil_constants k;
    enum coil_status status = coil_constants_at(25, COIL_CYANURATE_OBRIEN_1974, &k);

    if (status == COIL_OK)
        status =
            coil_dose_add(&water, s->reagent,
                          s->g_per_kg / coil_reagent_g_per_mol(s->reagent), &water);
    if (status == COIL_OK)
        status = coil_closed_solve(&k, &water, &w);
    if (status >= 0)
        *out_ph = w.ph;
    return status;
}

/* Rows that no pure solution answers: technical products, product strength. */
static int check_solution(const struct table *table, size_t row, char *message)
{
    const char *words = check_text(table, row, "solution", message);
    const char *computed = check_text(table, row, "computed", message);
    const char *range = check_text(table, row, "range", message);
    size_t i;

    if (words == NULL || computed == NULL || range == NULL)
        return 0;
    for (i = 0; i < sizeof SOLUTIONS / sizeof *SOLUTIONS; i++) {
        double expected, within, got = NAN;
        char *end;

        if (strcmp(SOLUTIONS[i].words, words) != 0)
            continue;
        expected = strtod(computed, &end);
        if (end == computed)
            expected = strtod(range, &end);
        if (end == computed || end == range)
            return check_fail(message, "the row has no number");
        if (solution_ph(&SOLUTIONS[i], &got) < 0)
            return check_fail(message, "refused");
        within = strstr(computed, "uncorrected") != NULL ? SOLUTION_PH_UNCORRECTED
                                                         : SOLUTION_PH;
        return fabs(got - expected) <= within ||
               check_fail(message, "got pH %.3f, expected %.3f", got, expected);
    }
    return 1;
}

#define TRICHLOR_PH 0.03
#define TRICHLOR_START_PH 7.5
#define TRICHLOR_HOCL 0.05 /* relative; the table is ideal, ours has activities */

static int check_trichlor(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"pH_computed_closed_25C", NULL};
    struct coil_closed_water water = {0};
    struct coil_equilibrium w = {0};
    struct coil_constants k;
    double alkalinity, grams;
    enum coil_status status = COIL_OK;
    enum check_next next;

    if (!check_input(table, row, "start_alkalinity_mg_L_CaCO3", &alkalinity, message) ||
        !check_input(table, row, "trichlor_g_L", &grams, message) ||
        coil_constants_at(25, COIL_CYANURATE_OBRIEN_1974, &k) != COIL_OK)
        return 0;
    if (alkalinity != 0) {
        water.totals.sodium_mol_per_kg = coil_alkalinity_from_mg_per_l(alkalinity);
        status = coil_equilibrium_solve(&k, &water.totals, COIL_GIVEN_PH_ALKALINITY,
                                        TRICHLOR_START_PH,
                                        water.totals.sodium_mol_per_kg, &w);
        coil_closed_from_equilibrium(&water.totals, &w, &water);
    }
    if (status >= 0)
        status = coil_dose_add(&water, COIL_REAGENT_TRICHLOR,
                               grams / coil_reagent_g_per_mol(COIL_REAGENT_TRICHLOR),
                               &water);
    if (status >= 0)
        status = coil_closed_solve(&k, &water, &w);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "pH_computed_closed_25C", w.ph, TRICHLOR_PH,
                      message) &&
           check_near_relative(table, row, "free_HOCl_mg_L_as_Cl2",
                               w.hocl_mol_per_kg * 1000 * COIL_CHLORINE_G_PER_MOL,
                               TRICHLOR_HOCL, message);
}

const struct table_check tables_dose[] = {
    {"dosing.csv", check_dosing},
    {"outgas.csv", check_outgas},
    {"doses.csv", check_doses},
    {"side_effects.csv", check_side_effects},
    {"products.csv", check_products},
    {"solution_pH.csv", check_solution},
    {"trichlor_solution_ph_computed.csv", check_trichlor},
    {NULL, NULL},
};
