/*
 * Where the sun stands, when it rises and sets, and what a clear sky lets through.
 *
 * Knows nothing of clouds, of pools or of time zones: instants are seconds since
 * 1970-01-01 UTC, places are degrees north and degrees east.
 */
#ifndef COIL_SUN_H
#define COIL_SUN_H

#include "status.h"

/* Centre of the sun at rise and set: 34' of refraction and 16' of radius. The usual
 * convention of almanacs (from memory). */
#define COIL_SUN_HORIZON_DEG (-50.0 / 60.0)

/* Instants that are computed: years 1900 to 2200, where the terms that are left out
 * stay small. */
#define COIL_SUN_TIME_MIN_S (-2208988800.0)
#define COIL_SUN_TIME_MAX_S 7258118400.0

/* The sun as the earth's centre sees it; degrees. */
struct coil_sun_ephemeris {
    double julian_day;       /* UT */
    double heliocentric_deg; /* longitude of the earth seen from the sun */
    double nutation_longitude_deg;
    double nutation_obliquity_deg;
    double obliquity_deg; /* true obliquity of the ecliptic */
    double apparent_longitude_deg;
    double distance_au;
    double sidereal_deg; /* apparent, at Greenwich */
    double right_ascension_deg;
    double declination_deg;
    double equation_of_time_min; /* true less mean solar time, -17 to 17 */
};

/* The sun as one place sees it. */
struct coil_sun_position {
    double elevation_deg;  /* of the centre, without air; -90 to 90 */
    double azimuth_deg;    /* from north through east, 0 to 360; 0 at the zenith */
    double hour_angle_deg; /* -180 to 180, 0 at transit, positive after it */
    struct coil_sun_ephemeris from_earth;
};

/*
 * time_s  seconds since 1970 UTC, 1900 to 2200
 * out     the caller keeps it; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 *
 * Method: the lower-accuracy solar coordinates of [meeus-1998, ch. 25] (stated to 0.01
 * degree), with its sidereal time (ch. 12) instead of a series for the equation of
 * time. TT - UT is taken as 69 s, which moves the sun by 0.0008 degree.
 */
enum coil_status coil_sun_ephemeris(double time_s, struct coil_sun_ephemeris *out);

/*
 * lat_deg -90 to 90, lon_deg_east -180 to 360; otherwise as above. Parallax (8.8") is
 * counted. At a pole azimuths are those of the given longitude.
 *
 * Found within 0.01 degree of two other programs over 70 places and instants, 2024 to
 * 2026; azimuth times the cosine of the elevation likewise.
 * Checked by fixtures/tables/solar_position_reference.csv, spa_worked_example.csv,
 * noaa_worked_example.csv.
 */
enum coil_status coil_sun_position(double lat_deg, double lon_deg_east, double time_s,
                                   struct coil_sun_position *out);

/*
 * How much air lifts the sun (degrees, >= 0).
 *
 * elevation_deg  without air, -90 to 90
 * pressure_hpa   > 0; temp_c above -273.15
 *
 * Formula of Saemundsson as in [reda-andreas-2004, eq. 42]; below -0.575 degree, where
 * it has no meaning, the tail of the NOAA solar calculator (from memory).
 */
enum coil_status coil_sun_refraction_deg(double elevation_deg, double pressure_hpa,
                                         double temp_c, double *out_deg);

enum coil_sun_day_kind {
    COIL_SUN_RISES_AND_SETS,
    COIL_SUN_ALWAYS_UP,
    COIL_SUN_ALWAYS_DOWN,
    COIL_SUN_ONLY_RISES, /* first day of a polar day, or last of a polar night */
    COIL_SUN_ONLY_SETS
};

/* One solar day: from one lower transit to the next, about 24 h. */
struct coil_sun_day {
    enum coil_sun_day_kind kind;
    double rise_s; /* valid when the kind says so */
    double set_s;
    double transit_s;
    double transit_elevation_deg; /* without air */
    double day_length_h;          /* 0 to 24 */
};

/*
 * The solar day that holds time_s (the one whose transit is nearest).
 *
 * horizon_deg  elevation of the centre at rise and set; COIL_SUN_HORIZON_DEG by default
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN. Bisection on the elevation
 * to 0.1 s; the air over a real place moves rise and set by a minute or more. Checked
 * by fixtures/tables/solar_rise_set_reference.csv, rise_set_published.csv.
 */
enum coil_status coil_sun_day(double lat_deg, double lon_deg_east, double time_s,
                              double horizon_deg, struct coil_sun_day *out);

/*
 * Clear-sky irradiance on level ground (W/m2); 0 when the sun is down.
 *
 * elevation_deg  of the sun, -90 to 90
 * Formula: 1098 sin e exp(-0.059/sin e) [haurwitz-1945].
 * Checked by fixtures/tables/clear_sky_checks.csv.
 */
enum coil_status coil_clear_sky_haurwitz(double elevation_deg, double *out_w_per_m2);

struct coil_clear_sky {
    double global_w_per_m2;  /* on level ground */
    double direct_w_per_m2;  /* on a plane that faces the sun */
    double diffuse_w_per_m2; /* on level ground */
};

/*
 * zenith_deg    apparent, 0 to 180; all 0 from 90 on
 * airmass       absolute (relative by Kasten-Young times pressure over sea level), > 0
 * linke         Linke turbidity, about 2 (clean) to 6, > 0
 * altitude_m    -500 to 9000
 * extra_w_per_m2  irradiance above the air, > 0
 *
 * [ineichen-perez-2002], without the later enhancement for thin air masses.
 * Checked by fixtures/tables/clear_sky_checks.csv.
 */
enum coil_status coil_clear_sky_ineichen(double zenith_deg, double airmass,
                                         double linke, double altitude_m,
                                         double extra_w_per_m2,
                                         struct coil_clear_sky *out);

/*
 * Relative air mass of an apparent zenith angle from 0 to 90 degrees: 1/(cos z +
 * 0.50572 (96.07995 - z)^-1.6364) [kasten-young-1989].
 */
enum coil_status coil_airmass_kasten_young(double zenith_deg, double *out_airmass);

/*
 * Sun above the air on level ground over a whole day.
 *
 * day_of_year 1 to 366
 * out_mj_per_m2  MJ/m2 in the day; out_day_length_h  hours, geometric, no refraction
 *
 * [fao-56, eq. 21 to 25, 34]. Polar day and night give 24 and 0 h.
 * Checked by row RAD-1 of fixtures/tables/worked_examples.csv.
 */
enum coil_status coil_extraterrestrial_day(double lat_deg, double day_of_year,
                                           double *out_mj_per_m2,
                                           double *out_day_length_h);

#endif
