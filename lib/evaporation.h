/*
 * What leaves and enters through a pool's open surface: evaporation, convection, heat
 * radiated to the sky, sun.
 *
 * Fluxes are W per m2 of surface and positive when the water loses heat. Knows nothing
 * of covers, heaters or time.
 */
#ifndef COIL_EVAPORATION_H
#define COIL_EVAPORATION_H

#include "status.h"

enum coil_evaporation_form {
    COIL_EVAPORATION_ASHRAE, /* (89 + 78.2 v)(pw - pa): open water in the wind */
    COIL_EVAPORATION_SMITH,  /* (63.8 + 66.9 v)(pw - pa): measured on outdoor pools */
    COIL_EVAPORATION_INDOOR  /* short form for halls, wind not counted */
};

/* Activity factors [ashrae-natatorium]: the factor 1 already holds splashing bathers.
 */
#define COIL_ACTIVITY_QUIET_HOME 0.5 /* from memory */
#define COIL_ACTIVITY_HOTEL 0.8
#define COIL_ACTIVITY_PUBLIC 1.0

struct coil_surface_air {
    double temp_c;            /* -40 to 60 */
    double relative_humidity; /* fraction, 0 to 1 */
    double wind_m_per_s;      /* at the surface, 0 to 30 */
    double cloud_fraction;    /* 0 clear to 1 overcast */
    double pressure_pa;       /* 50000 to 120000 */
};

struct coil_surface_flux {
    double evaporation_w_per_m2; /* negative: the air's water condenses on the pool */
    double evaporation_kg_per_m2_h;
    double convection_w_per_m2; /* negative: warmer air heats the water */
    double long_wave_w_per_m2;
    double dew_point_c;
    double sky_emissivity;
    double sky_w_per_m2; /* long-wave that comes down */
};

/*
 * Fluxes of open water.
 *
 * water_temp_c     0 to 60
 * activity_factor  0.3 to 2.5, multiplies evaporation and convection; 1 when outdoors
 *                  and unknown
 * out              untouched unless >= 0 is returned
 *
 * Returns COIL_OK; COIL_WARN_RANGE for wind above 8 m/s or air below freezing;
 * COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN, COIL_ERR_UNKNOWN (form).
 *
 * Evaporation: [ashrae-natatorium] (kg/s m2 = (pw - pa)(0.089 + 0.0782 v)/Y, kPa, Y
 * kJ/kg), [smith-lof-jones-1994] coefficients from memory (30.6 + 32.1 v) kJ/(h m2
 * mmHg), [doe-indoor-pool] 0.1 lb/(h ft2 inHg). The three differ by up to 40 %:
 * ASHRAE's lies above measurements on quiet pools (they found 72 to 82 % of it) and
 * below those on busy ones. Convection: Bowen's ratio 0.00061 p (Tw - Ta)/(pw - pa)
 * [bowen-1926]. Sky: emissivity (0.787 + 0.764 ln(Tdew/273 K)) (1 + 0.0224 n - 0.0035
 * n2 + 0.00028 n3) with n cloud tenths [clark-allen-1978]; the water's 0.95
 * [iso-tr-12596]. Checked by fixtures/tables/pool_surface_heat_flux_computed.csv and
 * EVAP-1, EVAP-2, SKY-1 of worked_examples.csv.
 */
enum coil_status coil_surface_flux(enum coil_evaporation_form form, double water_temp_c,
                                   const struct coil_surface_air *air,
                                   double activity_factor,
                                   struct coil_surface_flux *out);

/*
 * Emissivity of the sky by itself.
 *
 * dew_point_c  -60 to 40; cloud_fraction 0 to 1
 */
enum coil_status coil_sky_emissivity(double dew_point_c, double cloud_fraction,
                                     double *out_emissivity);

/*
 * Wind at 2 m from wind at another height over grass: u 4.87/ln(67.8 z - 5.42) [fao-56,
 * eq. 47]. A pool behind fences and hedges gets a fraction of it: ask, or take 0.3
 * (common practice, no source).
 *
 * wind_m_per_s 0 to 60; height_m 1 to 100
 * Checked by WIND-1 of fixtures/tables/worked_examples.csv.
 */
enum coil_status coil_wind_at_2m(double wind_m_per_s, double height_m,
                                 double *out_m_per_s);

/*
 * Sun on level ground under clouds (W/m2): clear sky times 1 - 0.75 n^3.4, n the
 * clouded part of the sky [kasten-czeplak-1980], from memory.
 */
enum coil_status coil_sun_under_clouds(double clear_w_per_m2, double cloud_fraction,
                                       double *out_w_per_m2);

/* Part of the sun that the water keeps: light and dark basins [iso-tr-12596]. */
#define COIL_SUN_KEPT_LIGHT 0.85
#define COIL_SUN_KEPT_DARK 0.90

#endif
