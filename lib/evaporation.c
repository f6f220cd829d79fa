#include "evaporation.h"

#include <math.h>
#include <stdbool.h>

#include "moist_air.h"

#define STEFAN_BOLTZMANN 5.670374419e-8 /* W/(m2 K4) [codata-2018] */
#define WATER_EMISSIVITY 0.95
#define BOWEN_PER_K 0.61e-3
/* W/(m2 kPa), and the same per m/s; kJ/(h m2 mmHg) / 3.6 / 0.133322. */
#define ASHRAE_STILL 89.0
#define ASHRAE_WIND 78.2
#define SMITH_STILL (30.6 / 3.6 / 0.133322368)
#define SMITH_WIND (32.1 / 3.6 / 0.133322368)
/* 0.1 lb/(h ft2 inHg) in kg/(s m2 kPa). */
#define INDOOR_KG (0.1 * 0.45359237 / 3600.0 / 0.09290304 / 3.386389)

static enum coil_status refuse_air(const struct coil_surface_air *air)
{
    if (!isfinite(air->temp_c) || !isfinite(air->relative_humidity) ||
        !isfinite(air->wind_m_per_s) || !isfinite(air->cloud_fraction) ||
        !isfinite(air->pressure_pa))
        return COIL_ERR_NOT_FINITE;
    if (air->temp_c < -40.0 || air->temp_c > 60.0 || air->wind_m_per_s < 0.0 ||
        air->wind_m_per_s > 30.0 || air->cloud_fraction < 0.0 ||
        air->cloud_fraction > 1.0 || air->relative_humidity < 0.0 ||
        air->relative_humidity > 1.0 || air->pressure_pa < 50000.0 ||
        air->pressure_pa > 120000.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* Heat (W/m2) per kPa between the water's film and the air. */
static double coefficient(enum coil_evaporation_form form, double wind_m_per_s,
                          double latent_kj_per_kg)
{
    switch (form) {
    case COIL_EVAPORATION_SMITH:
        return SMITH_STILL + SMITH_WIND * wind_m_per_s;
    case COIL_EVAPORATION_INDOOR:
        return INDOOR_KG * latent_kj_per_kg * 1000.0;
    case COIL_EVAPORATION_ASHRAE:
    default:
        return ASHRAE_STILL + ASHRAE_WIND * wind_m_per_s;
    }
}

static double emissivity(double dew_point_c, double cloud_fraction)
{
    double n = 10.0 * cloud_fraction;
    double clear = 0.787 + 0.764 * log((dew_point_c + 273.15) / 273.0);

    return clear * (1.0 + 0.0224 * n - 0.0035 * n * n + 0.00028 * n * n * n);
}

enum coil_status coil_sky_emissivity(double dew_point_c, double cloud_fraction,
                                     double *out_emissivity)
{
    if (!isfinite(dew_point_c) || !isfinite(cloud_fraction))
        return COIL_ERR_NOT_FINITE;
    if (dew_point_c < -60.0 || dew_point_c > 40.0 || cloud_fraction < 0.0 ||
        cloud_fraction > 1.0)
        return COIL_ERR_DOMAIN;
    *out_emissivity = emissivity(dew_point_c, cloud_fraction);
    return COIL_OK;
}

static double black_body(double temp_c)
{
    return STEFAN_BOLTZMANN * pow(temp_c + 273.15, 4.0);
}

static void fill(enum coil_evaporation_form form, double water_temp_c,
                 const struct coil_surface_air *air, double activity_factor,
                 double water_pa, double air_pa, double dew_point_c,
                 struct coil_surface_flux *out)
{
    double latent = 2501.0 - 2.361 * water_temp_c;
    double per_kpa = activity_factor * coefficient(form, air->wind_m_per_s, latent);

    out->evaporation_w_per_m2 = per_kpa * (water_pa - air_pa) / 1000.0;
    out->evaporation_kg_per_m2_h = out->evaporation_w_per_m2 * 3.6 / latent;
    /* The ratio times evaporation, without 0/0 at equal pressures. */
    out->convection_w_per_m2 = per_kpa * BOWEN_PER_K * (air->pressure_pa / 1000.0) *
                               (water_temp_c - air->temp_c);
    out->dew_point_c = dew_point_c;
    /* Drier than the formula was made for: -40 degC gives the lowest sky. */
    out->sky_emissivity =
        fmin(1.0, emissivity(fmax(dew_point_c, -40.0), air->cloud_fraction));
    out->sky_w_per_m2 = out->sky_emissivity * black_body(air->temp_c);
    out->long_wave_w_per_m2 =
        WATER_EMISSIVITY * (black_body(water_temp_c) - out->sky_w_per_m2);
}

enum coil_status coil_surface_flux(enum coil_evaporation_form form, double water_temp_c,
                                   const struct coil_surface_air *air,
                                   double activity_factor,
                                   struct coil_surface_flux *out)
{
    enum coil_status status = refuse_air(air);
    double dew_point_c = -100.0; /* hardly any vapour */
    double water_pa, air_pa;

    if (status != COIL_OK)
        return status;
    if (!isfinite(water_temp_c) || !isfinite(activity_factor))
        return COIL_ERR_NOT_FINITE;
    if ((unsigned)form > COIL_EVAPORATION_INDOOR)
        return COIL_ERR_UNKNOWN;
    if (water_temp_c < 0.0 || water_temp_c > 60.0 || activity_factor < 0.3 ||
        activity_factor > 2.5)
        return COIL_ERR_DOMAIN;
    status = coil_saturation_pressure_pa(water_temp_c, &water_pa);
    if (status == COIL_OK)
        status = coil_saturation_pressure_pa(air->temp_c, &air_pa);
    if (status != COIL_OK)
        return status;
    air_pa *= air->relative_humidity;
    (void)coil_dew_point_c(air_pa, &dew_point_c);
    fill(form, water_temp_c, air, activity_factor, water_pa, air_pa, dew_point_c, out);
    return air->wind_m_per_s > 8.0 || air->temp_c < 0.0 ? COIL_WARN_RANGE : COIL_OK;
}

enum coil_status coil_wind_at_2m(double wind_m_per_s, double height_m,
                                 double *out_m_per_s)
{
    if (!isfinite(wind_m_per_s) || !isfinite(height_m))
        return COIL_ERR_NOT_FINITE;
    if (wind_m_per_s < 0.0 || wind_m_per_s > 60.0 || height_m < 1.0 || height_m > 100.0)
        return COIL_ERR_DOMAIN;
    *out_m_per_s = wind_m_per_s * 4.87 / log(67.8 * height_m - 5.42);
    return COIL_OK;
}

enum coil_status coil_sun_under_clouds(double clear_w_per_m2, double cloud_fraction,
                                       double *out_w_per_m2)
{
    if (!isfinite(clear_w_per_m2) || !isfinite(cloud_fraction))
        return COIL_ERR_NOT_FINITE;
    if (clear_w_per_m2 < 0.0 || clear_w_per_m2 > 1500.0 || cloud_fraction < 0.0 ||
        cloud_fraction > 1.0)
        return COIL_ERR_DOMAIN;
    *out_w_per_m2 = clear_w_per_m2 * (1.0 - 0.75 * pow(cloud_fraction, 3.4));
    return COIL_OK;
}
