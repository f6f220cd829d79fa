/*
 * Heat that water holds: heat capacity and enthalpy of liquid water.
 *
 * Knows nothing of what is dissolved in it: 3 g/L of salt lower the heat capacity of a
 * litre by about 0.2 % (from memory), not counted.
 */
#ifndef COIL_WATER_HEAT_H
#define COIL_WATER_HEAT_H

#include "status.h"

#define COIL_ATMOSPHERE_MPA 0.101325

/*
 * temp_c        0 to 300; the water is taken as liquid
 * pressure_mpa  0.05 to 100; COIL_ATMOSPHERE_MPA for a pool
 * out           untouched unless COIL_OK is returned
 *
 * Heat capacity in kJ/(kg K), enthalpy in kJ/kg from 0 at the triple point. Returns
 * COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Method: [iapws-if97], region 1.
 * Checked by fixtures/tables/water_properties_if97_1atm.csv.
 */
enum coil_status coil_water_heat_capacity(double temp_c, double pressure_mpa,
                                          double *out_kj_per_kg_k);
enum coil_status coil_water_enthalpy(double temp_c, double pressure_mpa,
                                     double *out_kj_per_kg);

#endif
