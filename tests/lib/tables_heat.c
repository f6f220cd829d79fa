/*
 * Checks the tables of heat against lib/: saturation pressure and air states, fluxes at
 * a pool's surface, water properties, fuel loss by scale.
 */
#include <math.h>

#include "lib/evaporation.h"
#include "lib/heater_checks.h"
#include "lib/moist_air.h"
#include "lib/water_heat.h"
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
    return check_near_relative(table, row, "vapour_Pa", air.vapour_pa, 0.001,
                               message) &&
           check_near(table, row, "dewpoint_C", air.dew_point_c, 0.02, message) &&
           check_near(table, row, "wetbulb_C", air.wet_bulb_c, 0.02, message) &&
           check_near_relative(table, row, "humratio", air.humidity_ratio, 0.001,
                               message);
}

/* The table's tolerance is 1 %; 0.2 % does. Its dew points come from a shorter formula
 * that lies up to 0.047 K above psychrometric_states.csv, which ours meets. */
#define FLUX_RELATIVE 0.002
#define SHORT_DEW_POINT_K 0.05

static int check_flux(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"q_evap_W_m2_ASHRAE",
                                           "q_longwave_net_W_m2_eps0.95", NULL};
    struct coil_surface_air air = {.pressure_pa = COIL_ATMOSPHERE_PA};
    struct coil_surface_flux smith;
    struct coil_surface_flux got;
    double water_c, percent, factor;
    enum check_next next;

    if (!check_input(table, row, "water_C", &water_c, message) ||
        !check_input(table, row, "air_C", &air.temp_c, message) ||
        !check_input(table, row, "RH_pct", &percent, message) ||
        !check_input(table, row, "wind_m_s", &air.wind_m_per_s, message) ||
        !check_input(table, row, "activity_factor", &factor, message))
        return 0;
    air.relative_humidity = percent / 100.0;
    next = check_status(
        table, row,
        coil_surface_flux(COIL_EVAPORATION_ASHRAE, water_c, &air, factor, &got),
        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (coil_surface_flux(COIL_EVAPORATION_SMITH, water_c, &air, factor, &smith) <
        COIL_OK)
        return check_fail(message, "the other form is refused");
    return check_near_relative(table, row, "q_evap_W_m2_ASHRAE",
                               got.evaporation_w_per_m2, FLUX_RELATIVE, message) &&
           check_near_relative(table, row, "evap_kg_m2_h_ASHRAE",
                               got.evaporation_kg_per_m2_h, FLUX_RELATIVE, message) &&
           check_near_relative(table, row, "q_evap_W_m2_Smith1994_coeffs",
                               smith.evaporation_w_per_m2, FLUX_RELATIVE, message) &&
           check_near(table, row, "q_conv_W_m2_bowen", got.convection_w_per_m2,
                      0.002 * fabs(got.convection_w_per_m2) + 0.001, message) &&
           check_near(table, row, "dewpoint_C", got.dew_point_c, SHORT_DEW_POINT_K,
                      message) &&
           check_near_relative(table, row, "sky_emissivity_clark_allen_clear",
                               got.sky_emissivity, FLUX_RELATIVE, message) &&
           check_near_relative(table, row, "Lin_W_m2", got.sky_w_per_m2, FLUX_RELATIVE,
                               message) &&
           check_near_relative(table, row, "q_longwave_net_W_m2_eps0.95",
                               got.long_wave_w_per_m2, 0.01, message);
}

/*
 * Heat capacity, enthalpy and saturation pressure; the densities stand in
 * tables_water.c. The row of 0 degC was made at the triple point, 0.01 degC: its
 * enthalpy is 0.042 kJ/kg higher.
 */
static int check_water_heat(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"cp_kJ_kgK_IF97", "enthalpy_kJ_kg_IF97",
                                           NULL};
    double temp_c, capacity, enthalpy, pa;
    enum coil_status status;
    enum check_next next;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    status = coil_water_heat_capacity(temp_c, COIL_ATMOSPHERE_MPA, &capacity);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    if (coil_water_enthalpy(temp_c, COIL_ATMOSPHERE_MPA, &enthalpy) != COIL_OK ||
        coil_saturation_pressure_pa(temp_c, &pa) != COIL_OK)
        return check_fail(message, "enthalpy or pressure is refused");
    return check_near(table, row, "cp_kJ_kgK_IF97", capacity,
                      temp_c > 0.0 ? 0.00002 : 0.0001, message) &&
           check_near(table, row, "enthalpy_kJ_kg_IF97", enthalpy,
                      temp_c > 0.0 ? 0.0005 : 0.0425, message) &&
           check_near_relative(table, row, "psat_Pa_IF97", pa, 0.001, message);
}

static int check_scale(const struct table *table, size_t row, char *message)
{
    static const char *const columns[] = {"loss_pct_normal", "loss_pct_high_iron",
                                          "loss_pct_iron_plus_silica"};
    static const char *const expected[] = {"loss_pct_normal", "loss_pct_high_iron",
                                           NULL};
    double mm, percent;
    enum check_next next;

    if (!check_input(table, row, "scale_thickness_mm", &mm, message))
        return 0;
    for (int kind = 0; kind < 3; kind++) {
        next = check_status(table, row,
                            coil_scale_fuel_loss(mm, (enum coil_scale)kind, &percent),
                            expected, message);
        if (next != CHECK_GO_ON)
            return next == CHECK_PASSED;
        if (!check_near(table, row, columns[kind], percent, 0.05, message))
            return 0;
    }
    return 1;
}

const struct table_check tables_heat[] = {
    {"pool_surface_heat_flux_computed.csv", check_flux},
    {"water_properties_if97_1atm.csv", check_water_heat},
    {"scale_fuel_loss_published.csv", check_scale},
    {"saturation_pressure_0_60C.csv", check_saturation_c},
    {"saturation_pressure_32_140F.csv", check_saturation_f},
    {"psychrometric_states.csv", check_air},
    {NULL, NULL},
};
