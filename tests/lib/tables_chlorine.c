/*
 * Checks the tables of chlorine, cyanurate and borate against lib/chlorine.h and
 * lib/equilibrium.h.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/composition.h"
#include "tests/lib/tables_rows.h"

#define HOCL_IDEAL 1e-6 /* relative */
#define HOCL_DAVIES 5e-4
#define FORMS_IDEAL 1e-6
#define FORMS_DAVIES 2e-3
#define ABSENT 1e-90 /* the program prints 1e-99 for a form that a model has not */

/*
 * Constants of one model of the tables. The deck behind them wrote the remembered 1.8
 * of trichlorinated cyanurate as Cl3Cy + H2O = Cl2Cy- + H+ + HOCl; ours ends at HCl2Cy
 * (docs/decisions/010-trichlor-constant.md). HOCl differs by up to 1.4e-5, more than
 * the gate of the ideal rows, so that the deck's reaction is put in for them.
 */
static enum coil_status model_constants(const char *model, double temp_c,
                                        struct coil_constants *out)
{
    int obrien = strcmp(model, "obrien25") == 0;
    enum coil_status status;

    if (!obrien && strcmp(model, "wahman2019") != 0)
        return COIL_ERR_UNKNOWN;
    status = coil_constants_at(
        temp_c, obrien ? COIL_CYANURATE_OBRIEN_1974 : COIL_CYANURATE_WAHMAN_2019_ALONE,
        out);
    if (status == COIL_OK && obrien)
        out->cyanurate.formation[COIL_CL3CY] =
            out->cyanurate.formation[COIL_CL2CY] * pow(10, 1.8);
    return status;
}

struct form_column {
    const char *column;
    enum coil_cyanurate_form form;
};

static const struct form_column FORMS[] = {
    {"H2ClCy_molkgw", COIL_H2CLCY}, {"HClCy_molkgw", COIL_HCLCY},
    {"ClCy_molkgw", COIL_CLCY},     {"HCl2Cy_molkgw", COIL_HCL2CY},
    {"Cl2Cy_molkgw", COIL_CL2CY},   {"Cl3Cy_molkgw", COIL_CL3CY},
    {"H3Cy_molkgw", COIL_H3CY},     {"H2Cy_molkgw", COIL_H2CY},
    {"HCy_molkgw", COIL_HCY},       {"Cy_molkgw", COIL_CY},
};

static int check_forms(const struct table *table, size_t row,
                       const struct coil_chlorine *got, double within, char *message)
{
    size_t i;

    for (i = 0; i < sizeof FORMS / sizeof *FORMS; i++) {
        double expected;

        if (table_number(table, row, FORMS[i].column, &expected) == TABLE_NUMBER &&
            expected < ABSENT)
            continue;
        if (!check_near_relative(table, row, FORMS[i].column,
                                 got->forms_mol_per_kg[FORMS[i].form], within, message))
            return 0;
    }
    return 1;
}

static int read_chlorine(const struct table *table, size_t row,
                         struct coil_chlorine_input *in, double *temp_c, char *message)
{
    return check_input(table, row, "t_C", temp_c, message) &&
           check_input(table, row, "pH", &in->ph, message) &&
           row_amount(table, row, "fc_molkgw", "fc_mgL_Cl2",
                      0.001 / COIL_CHLORINE_G_PER_MOL, &in->chlorine_mol_per_kg,
                      message) &&
           row_amount(table, row, "cya_molkgw", "cya_mgL",
                      0.001 / COIL_CYANURIC_ACID_G_PER_MOL, &in->cyanurate_mol_per_kg,
                      message) &&
           row_amount(table, row, "salt_molkgw", "salt_mgL_NaCl",
                      0.001 / COIL_NACL_G_PER_MOL, &in->salt_mol_per_kg, message);
}

static int check_chlorine(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"HOCl_molkgw", "HOCl_mgL_Cl2", NULL};
    const char *model = check_text(table, row, "model", message);
    const char *activity = check_text(table, row, "activity", message);
    struct coil_chlorine_input in = {0};
    struct coil_chlorine got = {0};
    struct coil_constants k;
    enum coil_status status;
    enum check_next next;
    double temp_c;
    int ideal;

    if (model == NULL || activity == NULL ||
        !read_chlorine(table, row, &in, &temp_c, message))
        return 0;
    ideal = strcmp(activity, "ideal") == 0;
    if (!ideal && strcmp(activity, "davies") != 0)
        return check_fail(message, "activity %s is not known", activity);
    status = model_constants(model, temp_c, &k);
    if (status == COIL_OK)
        status = coil_chlorine_solve(
            &k, ideal ? COIL_ACTIVITY_IDEAL : COIL_ACTIVITY_DAVIES, &in, &got);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near_relative(table, row, "HOCl_molkgw", got.hocl_mol_per_kg,
                               ideal ? HOCL_IDEAL : HOCL_DAVIES, message) &&
           check_near_relative(table, row, "HOCl_mgL_Cl2",
                               got.hocl_mol_per_kg * 1000 * COIL_CHLORINE_G_PER_MOL,
                               ideal ? HOCL_IDEAL : HOCL_DAVIES, message) &&
           check_near_relative(table, row, "OCl_molkgw", got.ocl_mol_per_kg,
                               ideal ? HOCL_IDEAL : FORMS_DAVIES, message) &&
           check_near(table, row, "act_H2O", got.water_activity, 1e-6, message) &&
           check_forms(table, row, &got, ideal ? FORMS_IDEAL : FORMS_DAVIES, message);
}

/* The waters of this table are of phreeqc.dat: its band for the index. What cyanurate
 * does to the index has the tolerance of the table's head. */
#define CYANURATE_SI_EFFECT 0.015

static enum coil_cyanurate_source row_source(const struct table *table, size_t row)
{
    const char *model = table_text(table, row, "model");

    return model != NULL && strcmp(model, "obrien25") == 0 ? COIL_CYANURATE_OBRIEN_1974
                                                           : COIL_CYANURATE_WAHMAN_2019;
}

static int check_index_effect(const struct table *table, size_t row,
                              const struct row_water *water,
                              const struct coil_equilibrium *w, char *message)
{
    struct row_water plain = *water;
    struct coil_equilibrium all_carbonate;
    double with, without;

    if (table_number(table, row, "si_calcite", &with) != TABLE_NUMBER ||
        table_number(table, row, "si_if_all_alk_were_carbonate", &without) !=
            TABLE_NUMBER)
        return 1;
    plain.totals.cyanurate_mol_per_kg = 0;
    if (row_water_solve(&plain, &all_carbonate) < 0)
        return check_fail(message, "refused without its cyanurate");
    if (!(fabs(all_carbonate.si_calcite - w->si_calcite - (without - with)) <=
          CYANURATE_SI_EFFECT))
        return check_fail(message, "cyanurate moves the index by %g, expected %g",
                          w->si_calcite - all_carbonate.si_calcite, with - without);
    return 1;
}

static int check_cyanurate_alkalinity(const struct table *table, size_t row,
                                      char *message)
{
    static const char *const expected[] = {"cyanurate_alk_mgL_CaCO3", "si_calcite",
                                           NULL};
    struct coil_equilibrium w = {0};
    struct row_water water;
    enum check_next next;
    double cyanurate;

    if (!row_water_read(table, row, row_source(table, row), &water, message))
        return 0;
    next = check_status(table, row, row_water_solve(&water, &w), expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    cyanurate = coil_mg_per_l_from_alkalinity(w.cyanurate_alkalinity_eq_per_kg);
    return check_near(table, row, "cyanurate_alk_mgL_CaCO3", cyanurate,
                      GATE_ALKALINITY_PART, message) &&
           check_near(table, row, "carbonate_alk_mgL_CaCO3",
                      coil_mg_per_l_from_alkalinity(w.carbonate_alkalinity_eq_per_kg +
                                                    w.water_alkalinity_eq_per_kg),
                      GATE_ALKALINITY_PART, message) &&
           check_near(table, row, "si_calcite", w.si_calcite, BAND_PHREEQC_ALL,
                      message) &&
           check_index_effect(table, row, &water, &w, message);
}

/* phreeqc.dat's boric acid differs by up to 2 mg/L from wateq4f.dat's. */
#define BAND_BORATE 2.5
#define BAND_BORATE_SI 0.24 /* found up to 64 degC and pH 8.6 */

static int check_borate(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"w4f_borate_alk_mgL_CaCO3", "w4f_si_calcite",
                                           NULL};
    struct coil_equilibrium w = {0};
    struct row_water water;
    enum check_next next;
    double borate;

    if (!row_water_read(table, row, COIL_CYANURATE_WAHMAN_2019, &water, message))
        return 0;
    next = check_status(table, row, row_water_solve(&water, &w), expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    borate = coil_mg_per_l_from_alkalinity(w.borate_alkalinity_eq_per_kg);
    return check_near(table, row, "w4f_borate_alk_mgL_CaCO3", borate,
                      GATE_ALKALINITY_PART, message) &&
           check_near(table, row, "w4f_si_calcite", w.si_calcite, GATE_DOSED_MIXED,
                      message) &&
           check_near(table, row, "borate_alk_mgL_CaCO3", borate, BAND_BORATE,
                      message) &&
           check_near(
               table, row, "si_calcite", w.si_calcite,
               row_band(table, row, BAND_BORATE_SI, "w4f_si_calcite", "si_calcite"),
               message);
}

#define HOCL_PERCENT 0.1

static int check_hocl_percent(const struct table *table, size_t row, char *message)
{
    static const char *const columns[] = {"pH_6.0", "pH_6.5", "pH_7.0", "pH_7.2",
                                          "pH_7.4", "pH_7.5", "pH_7.6", "pH_7.8",
                                          "pH_8.0", "pH_8.5"};
    struct coil_constants k;
    enum coil_status status;
    double temp_c, fraction;
    size_t i;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    status = coil_constants_at(temp_c, COIL_CYANURATE_WAHMAN_2019, &k);
    if (status != COIL_OK)
        return check_fail(message, "refused: %s", coil_status_name(status));
    if (!check_near(table, row, "pKa", -log10(k.k_hocl), 0.0002, message))
        return 0;
    for (i = 0; i < sizeof columns / sizeof *columns; i++) {
        double ph = strtod(columns[i] + strlen("pH_"), NULL);

        status = coil_hocl_fraction(temp_c, ph, &fraction);
        if (status < 0)
            return check_fail(message, "refused: %s", coil_status_name(status));
        if (!check_near(table, row, columns[i], 100 * fraction, HOCL_PERCENT, message))
            return 0;
    }
    return 1;
}

#define EXTRACT_RELATIVE 0.001

static double hocl_mg_per_l(enum coil_cyanurate_source source, double temp_c, double ph,
                            double fc_mg_per_l, double cya_mg_per_l)
{
    struct coil_chlorine_input in = {
        .ph = ph,
        .chlorine_mol_per_kg = fc_mg_per_l / (1000 * COIL_CHLORINE_G_PER_MOL),
        .cyanurate_mol_per_kg = cya_mg_per_l / (1000 * COIL_CYANURIC_ACID_G_PER_MOL)};
    struct coil_constants k;
    struct coil_chlorine out;

    if (coil_constants_at(temp_c, source, &k) != COIL_OK ||
        coil_chlorine_solve(&k, COIL_ACTIVITY_IDEAL, &in, &out) < 0)
        return NAN;
    return out.hocl_mol_per_kg * 1000 * COIL_CHLORINE_G_PER_MOL;
}

static int check_hocl_with_cyanurate(const struct table *table, size_t row,
                                     char *message)
{
    double ph, fc, cya, obrien, wahman;

    if (!check_input(table, row, "pH", &ph, message) ||
        !check_input(table, row, "fc", &fc, message) ||
        !check_input(table, row, "cya", &cya, message))
        return 0;
    obrien = hocl_mg_per_l(COIL_CYANURATE_OBRIEN_1974, 25, ph, fc, cya);
    wahman = hocl_mg_per_l(COIL_CYANURATE_WAHMAN_2019, 25, ph, fc, cya);
    return check_near_relative(table, row, "hocl_obrien", obrien, EXTRACT_RELATIVE,
                               message) &&
           check_near_relative(table, row, "hocl_wahman", wahman, EXTRACT_RELATIVE,
                               message) &&
           check_near(table, row, "percent_hocl_obrien", 100 * obrien / fc,
                      0.005 + EXTRACT_RELATIVE * 100 * obrien / fc, message);
}

/*
 * cyanurate_checks.csv is prose: each row's id says what to compute, its column `calc`
 * begins with the numbers.
 */

/* Compares with the numbers at the start of the cell's parts: "0.220 (pK 6.88); 0.2".
 */
static int check_list(const struct table *table, size_t row, const double *got,
                      size_t count, double within, char *message)
{
    const char *text = check_text(table, row, "calc", message);
    size_t i;

    for (i = 0; text != NULL && i < count; i++) {
        char *end;
        double expected = strtod(text, &end);

        if (end == text)
            return check_fail(message, "calc has no number %zu", i + 1);
        if (!(fabs(got[i] - expected) <= within))
            return check_fail(message, "number %zu: got %.6g, expected %.6g", i + 1,
                              got[i], expected);
        text = strchr(end, ';');
        text = text == NULL ? "" : text + 1;
    }
    return text != NULL;
}

/* Part of the alkalinity that 1 mg/L holds, mg/L as CaCO3, one pK, ideal. */
static double alkalinity_factor(double ph, double pk)
{
    return COIL_CACO3_G_PER_EQ / COIL_CYANURIC_ACID_G_PER_MOL / (1 + pow(10, pk - ph));
}

static int check_factor(const struct table *table, size_t row, char *message)
{
    const char *what = check_text(table, row, "what", message);
    const char *at = what == NULL ? NULL : strstr(what, "pH ");
    double got[2];

    if (at == NULL)
        return check_fail(message, "no pH in the row");
    got[0] = alkalinity_factor(strtod(at + 3, NULL), 6.88);
    got[1] = alkalinity_factor(strtod(at + 3, NULL), 1743 / 298.15 + 1.12);
    return check_list(table, row, got, 2, 0.00051, message);
}

static int check_moieties(const struct table *table, size_t row, double g_per_mol,
                          char *message)
{
    double per_two = g_per_mol / (2 * COIL_CHLORINE_G_PER_MOL);
    const double got[] = {per_two, per_two * 2 / 3};

    return check_list(table, row, got, 2, 0.0002, message);
}

/* HOCl at CYA/FC 20, FC 1 to 10; the spread is (highest - lowest)/(2 mean of both). */
static int check_falk(const struct table *table, size_t row, int spread, char *message)
{
    static const double FC[] = {1, 2, 3, 4, 6, 8, 10};
    double got[7], part;
    size_t i;

    for (i = 0; i < 7; i++)
        got[i] = hocl_mg_per_l(COIL_CYANURATE_OBRIEN_1974, 25, 7.5, FC[i], 20 * FC[i]);
    part = 100 * (got[6] - got[0]) / (got[6] + got[0]);
    if (spread)
        return check_list(table, row, &part, 1, 0.5, message);
    return check_list(table, row, &got[0], 1, 0.0002, message) &&
           (fabs(got[6] - 0.0204) <= 0.0002 ||
            check_fail(message, "got %.5g at FC 10, expected 0.0204", got[6]));
}

static int check_wahman_pks(const struct table *table, size_t row, char *message)
{
    struct coil_constants k;
    double got[3];

    if (coil_constants_at(25, COIL_CYANURATE_WAHMAN_2019, &k) != COIL_OK)
        return check_fail(message, "refused at 25 degC");
    got[0] = -log10(k.cyanurate.formation[COIL_H2CY]);
    got[1] =
        log10(k.cyanurate.formation[COIL_HCLCY] / k.cyanurate.formation[COIL_H2CY]);
    got[2] =
        log10(k.cyanurate.formation[COIL_CL2CY] / k.cyanurate.formation[COIL_HCLCY]);
    return check_list(table, row, got, 3, 0.001, message);
}

static int check_h2cy_share(const struct table *table, size_t row, char *message)
{
    double got[2];
    int i;

    for (i = 0; i < 2; i++) {
        struct coil_constants k;

        if (coil_constants_at(i == 0 ? 5 : 35, COIL_CYANURATE_WAHMAN_2019, &k) !=
            COIL_OK)
            return check_fail(message, "refused");
        got[i] = 1 / (1 + 1e-7 / k.cyanurate.formation[COIL_H2CY]);
    }
    return check_list(table, row, got, 2, 0.0011, message);
}

/* Free chlorine without cyanurate that has the HOCl of FC 3, CYA 50, pH 7.5. */
static int check_equal_hocl(const struct table *table, size_t row, char *message)
{
    double with = hocl_mg_per_l(COIL_CYANURATE_OBRIEN_1974, 25, 7.5, 3, 50);
    double got = with / hocl_mg_per_l(COIL_CYANURATE_OBRIEN_1974, 25, 7.5, 1, 0);

    return check_list(table, row, &got, 1, 0.0001, message);
}

/* FC 1 to 10, CYA 0 to 100, pH 7.2 to 7.8: the most over the least HOCl. */
static int check_code_range(const struct table *table, size_t row, char *message)
{
    double got = hocl_mg_per_l(COIL_CYANURATE_OBRIEN_1974, 25, 7.2, 10, 0) /
                 hocl_mg_per_l(COIL_CYANURATE_OBRIEN_1974, 25, 7.8, 1, 100);

    return check_list(table, row, &got, 1, 0.02 * 1979, message);
}

static int check_cyanurate(const struct table *table, size_t row, char *message)
{
    const char *id = check_text(table, row, "id", message);
    long number = id != NULL && id[0] == 'B' ? strtol(id + 1, NULL, 10) : 0;

    switch (number) {
    case 1:
        return check_moieties(table, row, 126.05, message);
    case 2:
        return check_moieties(table, row, COIL_CYANURIC_ACID_G_PER_MOL, message);
    case 3:
        return check_h2cy_share(table, row, message);
    case 4:
        return check_wahman_pks(table, row, message);
    case 5:
    case 6:
        return check_falk(table, row, number == 5, message);
    case 7:
        return check_equal_hocl(table, row, message);
    case 8:
        return check_code_range(table, row, message);
    default:
        return check_factor(table, row, message);
    }
}

const struct table_check tables_chlorine[] = {
    {"chlorine_cyanurate.csv", check_chlorine},
    {"cyanurate_alkalinity.csv", check_cyanurate_alkalinity},
    {"borate.csv", check_borate},
    {"hocl_percent.csv", check_hocl_percent},
    {"hocl_with_cyanurate.csv", check_hocl_with_cyanurate},
    {"cyanurate_checks.csv", check_cyanurate},
    {NULL, NULL},
};
