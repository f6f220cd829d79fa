/*
 * Moist air at the pool's surface: vapour pressure, dew point, wet bulb, humidity
 * ratio.
 *
 * Knows nothing of pools.
 */
#ifndef COIL_MOIST_AIR_H
#define COIL_MOIST_AIR_H

#include "status.h"

#define COIL_ATMOSPHERE_PA 101325.0

/*
 * Saturation pressure of water (from the triple point, 0.01 degC, up) or ice (below).
 *
 * temp_c  -100 to 200
 * out_pa  untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Hyland and Wexler 1983 as in [ashrae-2017, ch. 1 eq. 5 and 6], coefficients from
 * memory; 170 ppm below IF97 at 25 degC, 820 ppm at 0 degC.
 * Checked by fixtures/tables/saturation_pressure_0_60C.csv, _32_140F.csv and
 * water_properties_if97_1atm.csv.
 */
enum coil_status coil_saturation_pressure_pa(double temp_c, double *out_pa);

/*
 * Temperature at which a vapour pressure saturates; the inverse of the above.
 *
 * vapour_pa  the pressures of -100 to 200 degC
 */
enum coil_status coil_dew_point_c(double vapour_pa, double *out_temp_c);

/* Latent heat of evaporation (kJ/kg): 2501 - 2.361 t, common practice, for 0 to 60
 * degC. Returns COIL_WARN_RANGE elsewhere between -40 and 100. */
enum coil_status coil_latent_heat_kj_per_kg(double temp_c, double *out_kj_per_kg);

struct coil_moist_air {
    double vapour_pa;
    double dew_point_c; /* -100 when there is almost no vapour */
    double wet_bulb_c;
    double humidity_ratio; /* kg of water per kg of dry air */
};

/*
 * State of air.
 *
 * temp_c             -40 to 60
 * relative_humidity  fraction, 0 to 1, over ice below 0.01 degC as the source does
 * pressure_pa        50000 to 120000
 * out                untouched unless COIL_OK is returned
 *
 * [ashrae-2017, ch. 1 eq. 20, 22, 33, 35]; wet bulb by bisection to 1e-6 K.
 * Checked by fixtures/tables/psychrometric_states.csv.
 */
enum coil_status coil_moist_air(double temp_c, double relative_humidity,
                                double pressure_pa, struct coil_moist_air *out);

#endif
