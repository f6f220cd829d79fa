/*
 * How much water a pool holds, from a known dose and a test before and after.
 */
#ifndef COIL_VOLUME_H
#define COIL_VOLUME_H

#include "status.h"

struct coil_volume_input {
    double brought_g;      /* of what the test counts: NaCl in the salt, > 0 */
    double brought_half_g; /* half width of what is not known of it, >= 0 */
    double before_mg_per_l, after_mg_per_l; /* >= 0 */
    double step_mg_per_l; /* of the test, >= 0: both readings are rounded to it */
    double calibration_fraction; /* by which the test may be off in scale, 0 to 0.5 */
};

struct coil_volume {
    double volume_m3;
    double low_m3, high_m3; /* about 95 % */
};

/*
 * Volume from mass over rise.
 *
 * out  untouched unless >= 0 is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN (ranges above), or
 * COIL_ERR_NO_SOLUTION when the rise is not above what the test leaves open: no upper
 * end could be given.
 *
 * Method: volume = mass / rise, 1 L of water as 1 kg. Each reading is rounded to a
 * step: standard deviation step/sqrt(12) [jcgm-100, 4.3.7], of the rise step/sqrt(6);
 * two of those make the band of the rise; mass and scale are added as squares. The band
 * of the volume is that of the rise turned over, so that it reaches further up than
 * down.
 */
enum coil_status coil_volume_from_dose(const struct coil_volume_input *input,
                                       struct coil_volume *out);

#endif
