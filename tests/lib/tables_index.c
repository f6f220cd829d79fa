/*
 * Checks the tables of saturation and corrosion indices against lib/index.h.
 *
 * The tolerances are those of the heads of the tables: 0.002 for the same saturation
 * formula, 0.003 for the indices recomputed beside a library's tests, 0.005 for the
 * two corrosion indices, half of the last digit for values that a source prints.
 */
#include <math.h>

#include "lib/index.h"
#include "lib/units.h"
#include "tests/lib/tables.h"

#define SAME_FORMULA 0.002
#define RECOMPUTED 0.003
#define CORROSION_INDEX 0.005
#define PK 0.0002         /* constants.csv, calcite_pksp_pb1982.csv */
#define TABLE_PK 0.01     /* sm2330_table.csv, as Standard Methods prints */
#define TABLE_SLOPE 0.001 /* same */

/* NaN stays NaN, so that the function under test refuses it. */
static double hardness_from_calcium(double ca_mg_per_l)
{
    const struct coil_unit *calcium = NULL;
    const struct coil_unit *hardness = NULL;
    double result = NAN;

    if (coil_unit_from_key("mg_per_l_ca", &calcium) == COIL_OK &&
        coil_unit_from_key("mg_per_l_caco3", &hardness) == COIL_OK)
        coil_unit_convert(calcium, hardness, ca_mg_per_l, &result);
    return result;
}

static int read_water(const struct table *table, size_t row,
                      struct coil_index_water *water, char *message)
{
    return check_input(table, row, "t_C", &water->temp_c, message) &&
           check_input(table, row, "pH", &water->ph, message) &&
           check_input(table, row, "tds", &water->tds_mg_per_l, message) &&
           check_input(table, row, "alk", &water->total_alkalinity_mg_per_l_caco3,
                       message);
}

static int check_sm2330(const struct table *table, size_t row,
                        const struct coil_index_water *water, char *message)
{
    static const char *const expected[] = {"sm_pHs", "sm_SI", NULL};
    struct coil_sm2330_index sm = {0};
    enum check_next next =
        check_status(table, row, coil_sm2330_index(water, &sm), expected, message);

    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_printed(table, row, "sm_I", sm.ionic_strength_mol_per_l, message) &&
           check_printed(table, row, "sm_pfm", sm.pfm, message) &&
           check_printed(table, row, "pCa", sm.p_ca, message) &&
           check_printed(table, row, "pHCO3", sm.p_hco3, message) &&
           check_near(table, row, "sm_pHs", sm.ph_s, SAME_FORMULA, message) &&
           check_near(table, row, "sm_SI", sm.index, SAME_FORMULA, message);
}

static int check_handbook(const struct table *table, size_t row,
                          const struct coil_index_water *water, char *message)
{
    static const char *const expected[] = {"hb_pHs", "hb_SI", NULL};
    struct coil_handbook_index hb = {0};
    enum check_next next =
        check_status(table, row, coil_handbook_index(water, &hb), expected, message);

    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_printed(table, row, "hb_A", hb.tds_term, message) &&
           check_printed(table, row, "hb_B", hb.temp_term, message) &&
           check_printed(table, row, "hb_C", hb.calcium_term, message) &&
           check_printed(table, row, "hb_D", hb.alkalinity_term, message) &&
           check_near(table, row, "hb_pHs", hb.ph_s, SAME_FORMULA, message) &&
           check_near(table, row, "hb_SI", hb.index, SAME_FORMULA, message);
}

static int check_saturation(const struct table *table, size_t row, char *message)
{
    struct coil_index_water water;

    return read_water(table, row, &water, message) &&
           check_input(table, row, "ca_hardness",
                       &water.calcium_hardness_mg_per_l_caco3, message) &&
           check_sm2330(table, row, &water, message) &&
           check_handbook(table, row, &water, message);
}

/*
 * The library behind the published columns lets its activity terms cancel, so its
 * index is Standard Methods' without activity: that of the same water at TDS 0.
 */
static int check_uncorrected(const struct table *table, size_t row,
                             const struct coil_index_water *water, char *message)
{
    struct coil_index_water fresh = *water;
    struct coil_sm2330_index sm = {0};
    double ryznar = NAN;

    fresh.tds_mg_per_l = 0.0;
    if (coil_sm2330_index(&fresh, &sm) < COIL_OK ||
        coil_ryznar_index(sm.ph_s, fresh.ph, &ryznar) != COIL_OK)
        return check_fail(message, "refused at TDS 0");
    return check_printed(table, row, "published_LSI", sm.index, message) &&
           check_printed(table, row, "published_RSI", ryznar, message) &&
           check_near(table, row, "pHs_uncorrected", sm.ph_s, RECOMPUTED, message) &&
           check_near(table, row, "LSI_uncorrected", sm.index, RECOMPUTED, message) &&
           check_near(table, row, "RSI_uncorrected", ryznar, RECOMPUTED, message);
}

static int check_indices(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"LSI_5pfm", "aggressive_index_calc", NULL};
    struct coil_index_water water;
    struct coil_sm2330_index sm = {0};
    double calcium;
    double aggressive = NAN;
    enum check_next next;

    if (!read_water(table, row, &water, message) ||
        !check_input(table, row, "ca_mgL", &calcium, message))
        return 0;
    water.calcium_hardness_mg_per_l_caco3 = hardness_from_calcium(calcium);
    next = check_status(table, row, coil_sm2330_index(&water, &sm), expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (coil_aggressive_index(water.ph, water.total_alkalinity_mg_per_l_caco3,
                              water.calcium_hardness_mg_per_l_caco3,
                              &aggressive) != COIL_OK)
        return check_fail(message, "the aggressive index is refused");
    return check_near(table, row, "LSI_5pfm", sm.index, RECOMPUTED, message) &&
           check_near(table, row, "aggressive_index_calc", aggressive, RECOMPUTED,
                      message) &&
           check_uncorrected(table, row, &water, message);
}

static int check_aggressive(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"index_calc", "published_rounded", NULL};
    double ph;
    double alkalinity;
    double calcium;
    double index = NAN;
    enum check_next next;

    if (!check_input(table, row, "pH", &ph, message) ||
        !check_input(table, row, "alk", &alkalinity, message) ||
        !check_input(table, row, "ca_mgL", &calcium, message))
        return 0;
    next = check_status(
        table, row,
        coil_aggressive_index(ph, alkalinity, hardness_from_calcium(calcium), &index),
        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "index_calc", index, CORROSION_INDEX, message) &&
           check_printed(table, row, "published_rounded", index, message);
}

static int check_larson_skold(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"ratio_calc", "published", NULL};
    double alkalinity;
    double chloride;
    double sulfate;
    double ratio = NAN;
    enum check_next next;

    if (!check_input(table, row, "alk", &alkalinity, message) ||
        !check_input(table, row, "chloride", &chloride, message) ||
        !check_input(table, row, "sulfate", &sulfate, message))
        return 0;
    next = check_status(table, row,
                        coil_larson_skold_index(chloride, sulfate, alkalinity, &ratio),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "ratio_calc", ratio, CORROSION_INDEX, message) &&
           check_printed(table, row, "published", ratio, message);
}

/* Reads t_C and computes; the columns name what the table expects. */
static enum check_next read_constants(const struct table *table, size_t row,
                                      const char *const *expected,
                                      struct coil_sm2330_constants *out_constants,
                                      char *message)
{
    double temp_c;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return CHECK_FAILED;
    return check_status(table, row, coil_sm2330_constants(temp_c, out_constants),
                        expected, message);
}

static int check_constants(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"pK2", "pKsp_calcite", NULL};
    struct coil_sm2330_constants constants = {0};
    enum check_next next = read_constants(table, row, expected, &constants, message);

    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "pK2", constants.pk2, PK, message) &&
           check_near(table, row, "pKsp_calcite", constants.pk_s, PK, message) &&
           check_near(table, row, "pK2_minus_pKsp", constants.pk2 - constants.pk_s, PK,
                      message) &&
           check_printed(table, row, "A_sm2330", constants.activity_slope, message);
}

static int check_standard_methods_table(const struct table *table, size_t row,
                                        char *message)
{
    static const char *const expected[] = {"pK2_table", "pKs_table", "pK2_calc", NULL};
    struct coil_sm2330_constants constants = {0};
    enum check_next next = read_constants(table, row, expected, &constants, message);

    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "pK2_table", constants.pk2, TABLE_PK, message) &&
           check_near(table, row, "pKs_table", constants.pk_s, TABLE_PK, message) &&
           check_near(table, row, "A_table", constants.activity_slope, TABLE_SLOPE,
                      message) &&
           check_printed(table, row, "pK2_calc", constants.pk2, message) &&
           check_printed(table, row, "pKs_calc", constants.pk_s, message) &&
           check_printed(table, row, "A_calc", constants.activity_slope, message);
}

static int check_calcite(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"pKsp_calcite", NULL};
    struct coil_sm2330_constants constants = {0};
    struct coil_sm2330_constants at_25_c = {0};
    enum check_next next = read_constants(table, row, expected, &constants, message);
    double relative;

    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (coil_sm2330_constants(25.0, &at_25_c) != COIL_OK)
        return check_fail(message, "25 degC is refused");
    relative = pow(10.0, at_25_c.pk_s - constants.pk_s);
    return check_near(table, row, "pKsp_calcite", constants.pk_s, PK, message) &&
           /* 0.0002 in pK is 0.05 % of the product */
           check_near_relative(table, row, "Ksp_relative_to_25C", relative, 5e-4,
                               message);
}

const struct table_check tables_index[] = {
    {"saturation_formula.csv", check_saturation},
    {"ccpp_and_indices.csv", check_indices},
    {"aggressive_index.csv", check_aggressive},
    {"larson_skold.csv", check_larson_skold},
    {"constants.csv", check_constants},
    {"sm2330_table.csv", check_standard_methods_table},
    {"calcite_pksp_pb1982.csv", check_calcite},
    {NULL, NULL},
};
