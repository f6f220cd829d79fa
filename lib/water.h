/*
 * Plain properties of water: its density, and how far a value lies beyond a limit.
 *
 * Knows nothing of what is dissolved in it.
 */
#ifndef COIL_WATER_H
#define COIL_WATER_H

#include "status.h"

/*
 * Density of pure air-free water at 1 atm.
 *
 * temp_c            degC, -10 to 200; the source's range is 0 to 150
 * out_kg_per_m3     receives the density; untouched unless >= 0 is returned
 *
 * Returns COIL_OK; COIL_WARN_RANGE from -10 up to 0 and above 150 to 200 degC (computed
 * there as well: supercooled, or kept liquid by pressure); COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN outside -10 to 200.
 *
 * Method: [kell-1975], formula for 1 atm. Found within 0.012 kg/m3 of IAPWS-IF97 over 0
 * to 64 degC. Pool water is denser: about 0.75 kg/m3 per g/L of salt (from memory), not
 * counted. Checked by fixtures/tables/water_properties_if97_1atm.csv.
 */
enum coil_status coil_water_density(double temp_c, double *out_kg_per_m3);

/*
 * How many times as acidic a water is as one at the limit: 10^(limit - pH).
 *
 * ph, ph_limit  0 to 14
 * out_ratio     receives the ratio of the hydrogen ion activities, > 0; 1 at equality,
 *               10 one unit below the limit, below 1 above the limit; untouched unless
 *               COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Definition of pH: minus the decimal logarithm of the hydrogen ion activity
 * [iupac-ph-2002].
 */
enum coil_status coil_acidity_ratio(double ph, double ph_limit, double *out_ratio);

/*
 * How many times its ceiling a value is: value / ceiling.
 *
 * value     >= 0
 * ceiling   > 0, in the same unit
 * out_ratio receives the ratio, >= 0; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE (also when the ratio is too large for a double)
 * or COIL_ERR_DOMAIN.
 */
enum coil_status coil_ceiling_ratio(double value, double ceiling, double *out_ratio);

#endif
