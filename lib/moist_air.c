#include "moist_air.h"

#include <math.h>

#define KELVIN 273.15
#define TRIPLE_POINT_C 0.01
#define TEMP_MIN_C (-100.0)
#define TEMP_MAX_C 200.0
#define WATER_TO_AIR 0.621945 /* ratio of molar masses [ashrae-2017, ch. 1 eq. 20] */
#define WET_BULB_STEP_K 1e-6

/* Natural logarithm of the pressure in Pa; t in K. */
static double ln_over_water(double t)
{
    return -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t * t -
           1.4452093e-8 * t * t * t + 6.5459673 * log(t);
}

static double ln_over_ice(double t)
{
    return -5.6745359e3 / t + 6.3925247 - 9.6778430e-3 * t + 6.2215701e-7 * t * t +
           2.0747825e-9 * t * t * t - 9.4840240e-13 * t * t * t * t +
           4.1635019 * log(t);
}

static double ln_saturation(double temp_c)
{
    double t = temp_c + KELVIN;

    return temp_c < TRIPLE_POINT_C ? ln_over_ice(t) : ln_over_water(t);
}

static double saturation_pa(double temp_c)
{
    return exp(ln_saturation(temp_c));
}

enum coil_status coil_saturation_pressure_pa(double temp_c, double *out_pa)
{
    if (!isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (temp_c < TEMP_MIN_C || temp_c > TEMP_MAX_C)
        return COIL_ERR_DOMAIN;
    *out_pa = saturation_pa(temp_c);
    return COIL_OK;
}

static double clamp_temp(double temp_c)
{
    return fmax(TEMP_MIN_C, fmin(TEMP_MAX_C, temp_c));
}

/* Newton's method on the logarithm, which is nearly straight; start and slope are those
 * of the Magnus form over water (611.2 Pa, 17.62, 243.12 degC; from memory), so each
 * step leaves about a hundredth of the error. A plan of two weeks asks some ten thousand
 * times. The step of 0.001 % where ice ends moves the result by 0.0002 K. */
static double dew_point(double vapour_pa)
{
    const double wanted = log(vapour_pa), over = wanted - log(611.2);
    double temp_c = clamp_temp(243.12 * over / (17.62 - over));

    for (int i = 0; i < 40; i++) {
        double from = 243.12 + temp_c;
        double slope = 17.62 * 243.12 / (from * from);
        double step = (wanted - ln_saturation(temp_c)) / slope;

        temp_c = clamp_temp(temp_c + step);
        if (fabs(step) < 1e-9)
            break;
    }
    return temp_c;
}

enum coil_status coil_dew_point_c(double vapour_pa, double *out_temp_c)
{
    if (!isfinite(vapour_pa))
        return COIL_ERR_NOT_FINITE;
    if (vapour_pa < saturation_pa(TEMP_MIN_C) || vapour_pa > saturation_pa(TEMP_MAX_C))
        return COIL_ERR_DOMAIN;
    *out_temp_c = dew_point(vapour_pa);
    return COIL_OK;
}

enum coil_status coil_latent_heat_kj_per_kg(double temp_c, double *out_kj_per_kg)
{
    if (!isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (temp_c < -40.0 || temp_c > 100.0)
        return COIL_ERR_DOMAIN;
    *out_kj_per_kg = 2501.0 - 2.361 * temp_c;
    return temp_c < 0.0 || temp_c > 60.0 ? COIL_WARN_RANGE : COIL_OK;
}

static double humidity_ratio(double vapour_pa, double pressure_pa)
{
    return WATER_TO_AIR * vapour_pa / (pressure_pa - vapour_pa);
}

/* Humidity ratio of air at temp_c whose wet bulb is wet_c. */
static double ratio_from_wet_bulb(double temp_c, double wet_c, double pressure_pa)
{
    double saturated = humidity_ratio(saturation_pa(wet_c), pressure_pa);

    if (wet_c >= 0.0)
        return ((2501.0 - 2.326 * wet_c) * saturated - 1.006 * (temp_c - wet_c)) /
               (2501.0 + 1.86 * temp_c - 4.186 * wet_c);
    return ((2830.0 - 0.24 * wet_c) * saturated - 1.006 * (temp_c - wet_c)) /
           (2830.0 + 1.86 * temp_c - 2.1 * wet_c);
}

static double wet_bulb(double temp_c, double dew_c, double ratio, double pressure_pa)
{
    double low = dew_c;
    double high = temp_c;

    while (high - low > WET_BULB_STEP_K) {
        double middle = 0.5 * (low + high);

        if (ratio_from_wet_bulb(temp_c, middle, pressure_pa) > ratio)
            high = middle;
        else
            low = middle;
    }
    return 0.5 * (low + high);
}

enum coil_status coil_moist_air(double temp_c, double relative_humidity,
                                double pressure_pa, struct coil_moist_air *out)
{
    if (!isfinite(temp_c) || !isfinite(relative_humidity) || !isfinite(pressure_pa))
        return COIL_ERR_NOT_FINITE;
    if (temp_c < -40.0 || temp_c > 60.0 || relative_humidity < 0.0 ||
        relative_humidity > 1.0 || pressure_pa < 50000.0 || pressure_pa > 120000.0)
        return COIL_ERR_DOMAIN;
    out->vapour_pa = relative_humidity * saturation_pa(temp_c);
    if (coil_dew_point_c(out->vapour_pa, &out->dew_point_c) != COIL_OK)
        out->dew_point_c = TEMP_MIN_C;
    out->dew_point_c = fmin(out->dew_point_c, temp_c);
    out->humidity_ratio = humidity_ratio(out->vapour_pa, pressure_pa);
    out->wet_bulb_c =
        wet_bulb(temp_c, out->dew_point_c, out->humidity_ratio, pressure_pa);
    return COIL_OK;
}
