/*
 * Checks the tables of solved waters against lib/equilibrium.h, film.h and
 * precipitation.h: saturation, closed heating, other databases, constants.
 */
#include <math.h>
#include <string.h>

#include "lib/composition.h"
#include "lib/film.h"
#include "lib/precipitation.h"
#include "tests/lib/tables_rows.h"

#define GATE_LOG_PCO2 0.001
#define GATE_SPECIES 0.002 /* relative: single species and activities */
#define GATE_IONIC_STRENGTH 0.001

static int check_saturation_exact(const struct table *table, size_t row,
                                  const struct coil_equilibrium *w, char *message)
{
    return check_near(table, row, "w4f_si_calcite", w->si_calcite, GATE_SI, message) &&
           check_near_relative(table, row, "w4f_dic_molkgw", w->dic_mol_per_kg,
                               GATE_DIC, message) &&
           check_near(table, row, "w4f_log_pCO2", log10(w->pco2_atm), GATE_LOG_PCO2,
                      message) &&
           check_near_relative(table, row, "w4f_ionic_strength",
                               w->ionic_strength_mol_per_kg, GATE_IONIC_STRENGTH,
                               message) &&
           check_near_relative(table, row, "w4f_HCO3_molkgw", w->hco3_mol_per_kg,
                               GATE_SPECIES, message) &&
           check_near_relative(table, row, "w4f_CO3_molkgw", w->co3_mol_per_kg,
                               GATE_SPECIES, message) &&
           check_near_relative(table, row, "w4f_CO2_molkgw", w->co2_mol_per_kg,
                               GATE_SPECIES, message) &&
           check_near_relative(table, row, "w4f_Ca_free_molkgw", w->ca_mol_per_kg,
                               GATE_SPECIES, message) &&
           check_near_relative(table, row, "w4f_act_Ca", w->ca_activity, GATE_SPECIES,
                               message) &&
           check_near_relative(table, row, "w4f_act_CO3", w->co3_activity, GATE_SPECIES,
                               message);
}

static int check_saturation(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"w4f_si_calcite", "w4f_dic_molkgw", NULL};
    struct coil_equilibrium w = {0};
    struct row_water water;
    enum check_next next;

    if (!row_water_read(table, row, COIL_CYANURATE_WAHMAN_2019, &water, message))
        return 0;
    next = check_status(table, row, row_water_solve(&water, &w), expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_saturation_exact(table, row, &w, message) &&
           check_near(table, row, "si_calcite", w.si_calcite,
                      row_band(table, row, row_band_phreeqc(table, row),
                               "w4f_si_calcite", "si_calcite"),
                      message) &&
           check_near(table, row, "pitzer_si_calcite", w.si_calcite,
                      row_band(table, row, row_band_pitzer(table, row),
                               "w4f_si_calcite", "pitzer_si_calcite"),
                      message);
}

static int check_crosscheck(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"si_wateq4f_dat", "si_phreeqc_dat", NULL};
    static const char *const others[] = {"si_phreeqc_dat", "si_phreeqc_dat_3_8_6",
                                         "si_phreeqc_dat_dec2025", "si_pitzer_dat"};
    struct coil_equilibrium w = {0};
    struct row_water water;
    enum check_next next;
    size_t i;

    if (!row_water_read(table, row, COIL_CYANURATE_WAHMAN_2019, &water, message))
        return 0;
    next = check_status(table, row, row_water_solve(&water, &w), expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (!check_near(table, row, "si_wateq4f_dat", w.si_calcite, GATE_SI, message))
        return 0;
    for (i = 0; i < sizeof others / sizeof *others; i++) {
        double band = strstr(others[i], "pitzer") != NULL
                          ? row_band_pitzer(table, row)
                          : row_band_phreeqc(table, row);

        if (!check_near(table, row, others[i], w.si_calcite,
                        row_band(table, row, band, "si_wateq4f_dat", others[i]),
                        message))
            return 0;
    }
    return 1;
}

/* Bands against pitzer.dat, heated: published as its largest distances from
 * phreeqc.dat, plus phreeqc.dat's from the exact gate. */
#define BAND_PITZER_HEATED_PH (0.152 + 0.066)
#define BAND_PITZER_HEATED_SI (0.123 + 0.179)

static int check_heated_bands(const struct table *table, size_t row,
                              const struct coil_equilibrium *hot, char *message)
{
    return check_near(
               table, row, "hot_pH", hot->ph,
               row_band(table, row, BAND_PHREEQC_HEATED_PH, "w4f_hot_pH", "hot_pH"),
               message) &&
           check_near(table, row, "hot_si_calcite", hot->si_calcite,
                      row_band(table, row, BAND_PHREEQC_ALL, "w4f_hot_si_calcite",
                               "hot_si_calcite"),
                      message) &&
           check_near(table, row, "pitzer_hot_pH", hot->ph, BAND_PITZER_HEATED_PH,
                      message) &&
           check_near(table, row, "pitzer_hot_si_calcite", hot->si_calcite,
                      BAND_PITZER_HEATED_SI, message);
}

static int check_temperature(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"w4f_hot_pH", "w4f_hot_si_calcite", NULL};
    struct coil_equilibrium cold = {0}, hot = {0};
    struct row_water water;
    double hot_temp_c;
    enum coil_status status;
    enum check_next next;

    if (!row_water_read(table, row, COIL_CYANURATE_WAHMAN_2019, &water, message) ||
        !check_input(table, row, "hot_t_C", &hot_temp_c, message))
        return 0;
    status = row_water_solve(&water, &cold);
    if (status >= 0)
        status = coil_water_heated(&water.totals, &cold, COIL_CYANURATE_WAHMAN_2019,
                                   hot_temp_c, &hot);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near_relative(table, row, "w4f_cold_dic_molkgw", cold.dic_mol_per_kg,
                               GATE_DIC, message) &&
           check_near(table, row, "w4f_cold_si_calcite", cold.si_calcite, GATE_SI,
                      message) &&
           check_near(table, row, "w4f_hot_pH", hot.ph, GATE_HEATED_PH, message) &&
           check_near(table, row, "w4f_hot_si_calcite", hot.si_calcite, GATE_SI,
                      message) &&
           check_heated_bands(table, row, &hot, message);
}

/* The same model written by somebody else; 500 mg/L NaCl. */
#define CLOSED_PH 0.003
#define CLOSED_SI 0.005
#define CLOSED_PCO2 0.005 /* relative */
#define CLOSED_SALT_MG_PER_L 500

static int check_closed_water(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"pH", "si_calcite", "pco2_ppm", NULL};
    struct coil_composition c = {.salt_mg_per_l_nacl = CLOSED_SALT_MG_PER_L,
                                 .water_temp_c = 25};
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium cold, hot = {0};
    double temp_c;
    enum coil_status status;
    enum check_next next;

    if (!check_input(table, row, "alk", &c.total_alkalinity_mg_per_l_caco3, message) ||
        !check_input(table, row, "ca_hardness", &c.calcium_hardness_mg_per_l_caco3,
                     message) ||
        !check_input(table, row, "pH_25C", &c.ph, message) ||
        !check_input(table, row, "t_C", &temp_c, message))
        return 0;
    status = coil_water_from_composition(&c, COIL_CYANURATE_WAHMAN_2019, &constants,
                                         &totals, &cold, NULL);
    if (status >= 0)
        status =
            coil_water_heated(&totals, &cold, COIL_CYANURATE_WAHMAN_2019, temp_c, &hot);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "pH", hot.ph, CLOSED_PH, message) &&
           check_near(table, row, "si_calcite", hot.si_calcite, CLOSED_SI, message) &&
           check_near_relative(table, row, "pco2_ppm", hot.pco2_atm * 1e6, CLOSED_PCO2,
                               message);
}

#define PK_CLOSE 0.0002
#define KH_CLOSE 0.00002

static int check_cyanurate_pks(const struct table *table, size_t row,
                               const struct coil_constants *k, char *message)
{
    const double *f = k->cyanurate.formation;

    return check_near(table, row, "pK6_cya", -log10(f[COIL_H2CY]), 0.0006, message) &&
           check_near(table, row, "pK9a_cya", log10(f[COIL_HCLCY] / f[COIL_H2CY]),
                      0.0006, message) &&
           check_near(table, row, "pK7a_cya", log10(f[COIL_CL2CY] / f[COIL_HCLCY]),
                      0.0006, message);
}

/* Three digits are printed of cyanurate's, half of the last is 0.0005. */
static int check_constants(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"pK1", "pK2", "pKsp_calcite", NULL};
    struct coil_constants k = {0};
    enum check_next next;
    double temp_c;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    next = check_status(table, row,
                        coil_constants_at(temp_c, COIL_CYANURATE_WAHMAN_2019, &k),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "pK1", -log10(k.k_1), PK_CLOSE, message) &&
           check_near(table, row, "pK2", -log10(k.k_2), PK_CLOSE, message) &&
           check_near(table, row, "pKsp_calcite", -log10(k.k_calcite), PK_CLOSE,
                      message) &&
           check_near(table, row, "pKw", -log10(k.k_w), PK_CLOSE, message) &&
           check_near(table, row, "pKa_HOCl", -log10(k.k_hocl), PK_CLOSE, message) &&
           check_near(table, row, "pKH_PB", -log10(k.k_henry), PK_CLOSE, message) &&
           check_near(table, row, "KH_PB", k.k_henry, KH_CLOSE, message) &&
           check_near(table, row, "K0_weiss", coil_co2_solubility_weiss(temp_c),
                      KH_CLOSE, message) &&
           check_cyanurate_pks(table, row, &k, message);
}

/* The engine ends at 70 degC; the table goes on, and is not ours beyond. */
static int check_pksp(const struct table *table, size_t row, char *message)
{
    struct coil_constants k, warm;
    enum coil_status status;
    double temp_c, relative;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    status = coil_constants_at(temp_c, COIL_CYANURATE_WAHMAN_2019, &k);
    if (temp_c > COIL_EQUILIBRIUM_TEMP_MAX_C)
        return status == COIL_ERR_DOMAIN ||
               check_fail(message, "above 70 degC expected a refusal");
    if (status != COIL_OK ||
        coil_constants_at(25, COIL_CYANURATE_WAHMAN_2019, &warm) != COIL_OK)
        return check_fail(message, "refused: %s", coil_status_name(status));
    relative = k.k_calcite / warm.k_calcite;
    return check_near(table, row, "pKsp_calcite", -log10(k.k_calcite), PK_CLOSE,
                      message) &&
           check_near(table, row, "Ksp_relative_to_25C", relative, 0.0001, message);
}

#define CO2_AIR_ATM 427e-6
#define CO2_MG_PER_MOL 44009.5
#define CO2_DIGITS 0.001 /* relative, or half of the last digit */

static int check_co2(const struct table *table, size_t row, char *message)
{
    struct coil_constants k;
    double temp_c, weiss;
    enum coil_status status;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    status = coil_constants_at(temp_c, COIL_CYANURATE_WAHMAN_2019, &k);
    if (status != COIL_OK)
        return check_fail(message, "refused: %s", coil_status_name(status));
    weiss = coil_co2_solubility_weiss(temp_c);
    return check_near_relative(table, row, "K0_weiss", weiss, CO2_DIGITS, message) &&
           check_near_relative(table, row, "KH_PB", k.k_henry, CO2_DIGITS, message) &&
           check_near_relative(table, row, "co2_umolL_427ppm",
                               weiss * CO2_AIR_ATM * 1e6, CO2_DIGITS, message) &&
           check_near_relative(table, row, "co2_mgL_427ppm",
                               weiss * CO2_AIR_ATM * CO2_MG_PER_MOL, CO2_DIGITS,
                               message);
}

/*
 * Precipitation potential: 2 mg/L or 10 %, since both columns are of models without ion
 * pairs (Davies, I = 2.5e-5 TDS). Such a model's index lies up to 0.179 from one with
 * pairs, as found over the waters of saturation.csv.
 */
#define CCPP_MG_PER_L 2.0
#define CCPP_RELATIVE 0.1
#define CCPP_SI 0.18
#define IONIC_PER_TDS 2.5e-5

/* A water whose salt gives it the ionic strength of that model. */
static enum coil_status water_of_ionic_strength(struct coil_composition *c,
                                                double target, struct coil_constants *k,
                                                struct coil_totals *totals,
                                                struct coil_equilibrium *w)
{
    enum coil_status status = COIL_OK;
    int i;

    for (i = 0; i < 20 && status >= 0; i++) {
        status = coil_water_from_composition(c, COIL_CYANURATE_WAHMAN_2019, k, totals,
                                             w, NULL);
        if (status >= 0)
            c->salt_mg_per_l_nacl =
                fmax(c->salt_mg_per_l_nacl + (target - w->ionic_strength_mol_per_kg) *
                                                 1000 * COIL_NACL_G_PER_MOL,
                     0);
    }
    return status;
}

static int check_ccpp_value(const struct table *table, size_t row, const char *column,
                            double got, char *message)
{
    double within = CCPP_MG_PER_L, printed;

    if (table_number(table, row, column, &printed) == TABLE_NUMBER)
        within = fmax(within, CCPP_RELATIVE * fabs(printed));
    return check_near(table, row, column, got, within, message);
}

static int check_ccpp(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"CCPP_calc", "SI_speciated", NULL};
    struct coil_composition c = {0};
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium w = {0};
    struct coil_precipitation p = {0};
    struct coil_closed_water closed;
    double calcium_mg_per_l, tds;
    enum coil_status status;
    enum check_next next;

    if (!check_input(table, row, "t_C", &c.water_temp_c, message) ||
        !check_input(table, row, "pH", &c.ph, message) ||
        !check_input(table, row, "alk", &c.total_alkalinity_mg_per_l_caco3, message) ||
        !check_input(table, row, "ca_mgL", &calcium_mg_per_l, message) ||
        !check_input(table, row, "tds", &tds, message))
        return 0;
    c.calcium_hardness_mg_per_l_caco3 =
        calcium_mg_per_l / 40.078 * COIL_CACO3_G_PER_MOL;
    status = water_of_ionic_strength(&c, IONIC_PER_TDS * tds, &k, &totals, &w);
    if (status >= 0) {
        coil_closed_from_equilibrium(&totals, &w, &closed);
        status = coil_precipitation_solve(&k, &closed, &p);
    }
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "SI_speciated", w.si_calcite, CCPP_SI, message) &&
           check_ccpp_value(table, row, "published_CCPP", p.caco3_mg_per_l, message) &&
           check_ccpp_value(table, row, "CCPP_calc", p.caco3_mg_per_l, message);
}

const struct table_check tables_equilibrium[] = {
    {"saturation.csv", check_saturation},
    {"crosscheck.csv", check_crosscheck},
    {"temperature.csv", check_temperature},
    {"closed_water_by_temperature.csv", check_closed_water},
    {"constants.csv", check_constants},
    {"calcite_pksp_pb1982.csv", check_pksp},
    {"co2_gas.csv", check_co2},
    {"ccpp_and_indices.csv", check_ccpp},
    {NULL, NULL},
};
