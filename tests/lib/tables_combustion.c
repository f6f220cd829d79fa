/*
 * Checks the tables of flue gas against lib/combustion.h: dry flue gas composition, the
 * German rule's flue loss, the tip sheet's efficiencies. CO-1, CO-2 and COMB-1 of the
 * worked examples stand in tables_worked.c.
 */
#include <string.h>

#include "lib/combustion.h"
#include "tests/lib/tables.h"

#define F_PER_K 1.8
#define AIR_C 21.1

static int fuel_named(const struct table *table, size_t row, struct coil_fuel *out,
                      char *message)
{
    static const struct coil_gas_mix methane = {.methane = 1.0};
    const char *name = check_text(table, row, "fuel", message);

    if (name == NULL)
        return 0;
    if (strcmp(name, "natgas") == 0 || strcmp(name, "natural_gas") == 0)
        coil_fuel_natural_gas(out);
    else if (strcmp(name, "propane") == 0 || strcmp(name, "lpg") == 0)
        coil_fuel_propane(out);
    else if (strcmp(name, "methane") != 0 ||
             coil_fuel_from_mix(&methane, COIL_SIEGERT_GAS, out) != COIL_OK)
        return check_fail(message, "fuel: \"%.60s\" is not known", name);
    return 1;
}

static int check_gas(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"CO2_dry_pct",
                                           "excess_air_pct_stoichiometry", NULL};
    struct coil_flue_reading reading = {
        .co_ppm = 100, .flue_temp_c = 200, .air_temp_c = 20};
    struct coil_flue_result got;
    struct coil_fuel fuel;
    enum check_next next;

    if (!fuel_named(table, row, &fuel, message) ||
        !check_input(table, row, "O2_dry_pct", &reading.o2_percent, message))
        return 0;
    next = check_status(table, row, coil_flue_analyse(&fuel, &reading, NULL, &got),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "CO2_dry_pct", got.value[COIL_FLUE_CO2], 0.02,
                      message) &&
           check_near(table, row, "excess_air_pct_stoichiometry",
                      got.value[COIL_FLUE_EXCESS_AIR], 0.02, message) &&
           check_near(table, row, "excess_air_pct_simple_O2_over_20.95minusO2",
                      got.value[COIL_FLUE_EXCESS_AIR_SIMPLE], 0.02, message) &&
           check_near(table, row, "co_air_free_factor_20.9",
                      got.value[COIL_FLUE_CO_AIR_FREE] / reading.co_ppm, 0.0001,
                      message);
}

static int check_siegert(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"loss_pct_of_net_calorific",
                                           "efficiency_net_pct", NULL};
    struct coil_flue_reading reading = {0};
    struct coil_flue_result got;
    struct coil_fuel fuel;
    enum check_next next;

    if (!fuel_named(table, row, &fuel, message) ||
        !check_input(table, row, "O2_dry_pct", &reading.o2_percent, message) ||
        !check_input(table, row, "flue_C", &reading.flue_temp_c, message) ||
        !check_input(table, row, "air_C", &reading.air_temp_c, message))
        return 0;
    next = check_status(table, row, coil_flue_analyse(&fuel, &reading, NULL, &got),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "loss_pct_of_net_calorific",
                      got.value[COIL_FLUE_LOSS_NET], 0.001, message) &&
           check_near(table, row, "efficiency_net_pct",
                      got.value[COIL_FLUE_EFFICIENCY_NET], 0.001, message);
}

/*
 * The published column within 1.0, as the table asks; air at 70 degF, which the sheet
 * does not say. The other one is a program of methane in dry air: half of its last
 * digit does not do, since its nitrogen polynomial and heating values are recalled
 * ones, as ours are; 0.1 does. The sheet's excess air is methane's, ours natural gas's:
 * 1 %.
 */
static int check_tip_sheet(const struct table *table, size_t row, char *message)
{
    static const struct coil_gas_mix mix = {.methane = 1.0};
    static const char *const expected[] = {"efficiency_pct_gross_published", NULL};
    struct coil_flue_reading reading = {.air_temp_c = AIR_C};
    struct coil_flue_result methane_got;
    struct coil_flue_result got;
    struct coil_fuel methane;
    struct coil_fuel fuel;
    double rise_f;
    enum check_next next;

    coil_fuel_natural_gas(&fuel);
    if (coil_fuel_from_mix(&mix, COIL_SIEGERT_GAS, &methane) != COIL_OK)
        return check_fail(message, "methane is refused");
    if (!check_input(table, row, "O2_pct", &reading.o2_percent, message) ||
        !check_input(table, row, "net_temp_rise_F", &rise_f, message))
        return 0;
    reading.flue_temp_c = AIR_C + rise_f / F_PER_K;
    next = check_status(table, row, coil_flue_analyse(&fuel, &reading, NULL, &got),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (coil_flue_analyse(&methane, &reading, NULL, &methane_got) != COIL_OK)
        return check_fail(message, "methane is refused");
    return check_near(table, row, "efficiency_pct_gross_published",
                      got.value[COIL_FLUE_BALANCE_GROSS], 1.0, message) &&
           check_near(table, row, "efficiency_pct_gross_first_principles_methane",
                      methane_got.value[COIL_FLUE_BALANCE_GROSS], 0.1, message) &&
           check_near_relative(table, row, "excess_air_pct",
                               got.value[COIL_FLUE_EXCESS_AIR], 0.01, message);
}

const struct table_check tables_combustion[] = {
    {"combustion_o2_co2_excess_air.csv", check_gas},
    {"siegert_flue_loss.csv", check_siegert},
    {"doe_combustion_efficiency_natural_gas.csv", check_tip_sheet},
    {NULL, NULL},
};
