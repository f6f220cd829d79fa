#include "water.h"

#include <math.h>

enum coil_status coil_water_density(double temp_c, double *out_kg_per_m3)
{
    const double t = temp_c;
    double numerator;

    if (!isfinite(t))
        return COIL_ERR_NOT_FINITE;
    if (t < -10.0 || t > 200.0)
        return COIL_ERR_DOMAIN;
    numerator = -280.54253e-12;
    numerator = numerator * t + 105.56302e-9;
    numerator = numerator * t - 46.170461e-6;
    numerator = numerator * t - 7.9870401e-3;
    numerator = numerator * t + 16.945176;
    numerator = numerator * t + 999.83952;
    *out_kg_per_m3 = numerator / (1.0 + 16.879850e-3 * t);
    return t < 0.0 || t > 150.0 ? COIL_WARN_RANGE : COIL_OK;
}

enum coil_status coil_acidity_ratio(double ph, double ph_limit, double *out_ratio)
{
    if (!isfinite(ph) || !isfinite(ph_limit))
        return COIL_ERR_NOT_FINITE;
    if (ph < 0.0 || ph > 14.0 || ph_limit < 0.0 || ph_limit > 14.0)
        return COIL_ERR_DOMAIN;
    *out_ratio = pow(10.0, ph_limit - ph);
    return COIL_OK;
}

enum coil_status coil_ceiling_ratio(double value, double ceiling, double *out_ratio)
{
    if (!isfinite(value) || !isfinite(ceiling))
        return COIL_ERR_NOT_FINITE;
    if (value < 0.0 || ceiling <= 0.0)
        return COIL_ERR_DOMAIN;
    if (!isfinite(value / ceiling))
        return COIL_ERR_NOT_FINITE;
    *out_ratio = value / ceiling;
    return COIL_OK;
}
