/*
 * Checks the tables of heat against lib/: saturation pressure and air states, fluxes at
 * a pool's surface, water properties, fuel loss by scale.
 */
#include "lib/moist_air.h"
#include "tests/lib/tables.h"

#define INHG_PA 3386.389 /* conventional, 0 degC */
#define PSI_PA 6894.757293168

static int check_saturation_c(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"psat_Pa", NULL};
    double temp_c, pa, latent;
    enum check_next next;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    next = check_status(table, row, coil_saturation_pressure_pa(temp_c, &pa), expected,
                        message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (coil_latent_heat_kj_per_kg(temp_c, &latent) < COIL_OK)
        return check_fail(message, "latent heat is refused");
    return check_near_relative(table, row, "psat_Pa", pa, 0.001, message) &&
           check_near_relative(table, row, "psat_kPa", pa / 1000.0, 0.001, message) &&
           check_near_relative(table, row, "psat_inHg", pa / INHG_PA, 0.001, message) &&
           check_near(table, row, "latent_kJ_per_kg_2501minus2.361t", latent, 0.005001,
                      message);
}

static int check_saturation_f(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"psat_psi", NULL};
    double temp_f, pa;
    enum check_next next;

    if (!check_input(table, row, "t_F", &temp_f, message))
        return 0;
    next = check_status(table, row,
                        coil_saturation_pressure_pa((temp_f - 32.0) / 1.8, &pa),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near_relative(table, row, "psat_psi", pa / PSI_PA, 0.001, message) &&
           check_near_relative(table, row, "psat_inHg", pa / INHG_PA, 0.001, message);
}

/* 0.1 % of pressures; temperatures to 0.02 K, a pressure's 0.1 % of the dew point. */
static int check_air(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"vapour_Pa", "dewpoint_C", NULL};
    struct coil_moist_air air;
    double temp_c, percent, pa;
    enum check_next next;

    if (!check_input(table, row, "t_C", &temp_c, message) ||
        !check_input(table, row, "RH_pct", &percent, message) ||
        !check_input(table, row, "p_Pa", &pa, message))
        return 0;
    next = check_status(table, row, coil_moist_air(temp_c, percent / 100.0, pa, &air),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near_relative(table, row, "vapour_Pa", air.vapour_pa, 0.001, message) &&
           check_near(table, row, "dewpoint_C", air.dew_point_c, 0.02, message) &&
           check_near(table, row, "wetbulb_C", air.wet_bulb_c, 0.02, message) &&
           check_near_relative(table, row, "humratio", air.humidity_ratio, 0.001,
                               message);
}

const struct table_check tables_heat[] = {
    {"saturation_pressure_0_60C.csv", check_saturation_c},
    {"saturation_pressure_32_140F.csv", check_saturation_f},
    {"psychrometric_states.csv", check_air},
    {NULL, NULL},
};
