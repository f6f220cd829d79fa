#include "volume.h"

#include <math.h>

static enum coil_status check(const struct coil_volume_input *in)
{
    if (!isfinite(in->brought_g) || !isfinite(in->brought_half_g) ||
        !isfinite(in->before_mg_per_l) || !isfinite(in->after_mg_per_l) ||
        !isfinite(in->step_mg_per_l) || !isfinite(in->calibration_fraction))
        return COIL_ERR_NOT_FINITE;
    if (!(in->brought_g > 0) || !(in->brought_half_g >= 0) ||
        !(in->brought_half_g < in->brought_g) || !(in->before_mg_per_l >= 0) ||
        !(in->after_mg_per_l >= 0) || !(in->step_mg_per_l >= 0) ||
        !(in->calibration_fraction >= 0 && in->calibration_fraction <= 0.5))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_volume_from_dose(const struct coil_volume_input *input,
                                       struct coil_volume *out)
{
    enum coil_status status = check(input);
    double rise = input->after_mg_per_l - input->before_mg_per_l;
    double by_steps, by_mass, half;

    if (status != COIL_OK)
        return status;
    by_steps = 2 * input->step_mg_per_l / sqrt(6);
    by_mass = rise * input->brought_half_g / input->brought_g;
    half = sqrt(by_steps * by_steps + by_mass * by_mass +
                pow(rise * input->calibration_fraction, 2));
    if (!(rise > half))
        return COIL_ERR_NO_SOLUTION;
    out->volume_m3 = input->brought_g / rise;
    out->low_m3 = input->brought_g / (rise + half);
    out->high_m3 = input->brought_g / (rise - half);
    return COIL_OK;
}
