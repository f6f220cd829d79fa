#include "sun.h"

#include <math.h>
#include <stdbool.h>

#define PI 3.14159265358979323846
#define DAY_S 86400.0
/* TT - UT: 64 s in 2000, 69 s in 2025 (from memory); a minute is 0.0007 degree. */
#define DELTA_T_S 69.0
#define PARALLAX_DEG (8.794 / 3600.0)
#define REFRACTION_END_DEG (-0.575)

static double rad(double deg)
{
    return deg * (PI / 180.0);
}

static double deg(double radians)
{
    return radians * (180.0 / PI);
}

/* Into 0 to 360. */
static double turn(double angle_deg)
{
    double rest = fmod(angle_deg, 360.0);

    return rest < 0.0 ? rest + 360.0 : rest;
}

/* Into -180 to 180. */
static double half_turn(double angle_deg)
{
    return turn(angle_deg + 180.0) - 180.0;
}

static enum coil_status check_time(double time_s)
{
    if (!isfinite(time_s))
        return COIL_ERR_NOT_FINITE;
    if (time_s < COIL_SUN_TIME_MIN_S || time_s > COIL_SUN_TIME_MAX_S)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

static enum coil_status check_place(double lat_deg, double lon_deg_east)
{
    if (!isfinite(lat_deg) || !isfinite(lon_deg_east))
        return COIL_ERR_NOT_FINITE;
    if (fabs(lat_deg) > 90.0 || lon_deg_east < -180.0 || lon_deg_east > 360.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* Meeus chapter 25: T centuries from J2000, M mean anomaly, L0 mean longitude, C the
 * equation of the centre, omega the moon's node (nutation and aberration). */
static void solar_longitude(double t, struct coil_sun_ephemeris *out, double *out_l0)
{
    double l0 = turn(280.46646 + t * (36000.76983 + 0.0003032 * t));
    double m = rad(357.52911 + t * (35999.05029 - 0.0001537 * t));
    double e = 0.016708634 - t * (0.000042037 + 0.0000001267 * t);
    double c = (1.914602 - t * (0.004817 + 0.000014 * t)) * sin(m) +
               (0.019993 - 0.000101 * t) * sin(2.0 * m) + 0.000289 * sin(3.0 * m);
    double omega = rad(125.04 - 1934.136 * t);

    out->distance_au = 1.000001018 * (1.0 - e * e) / (1.0 + e * cos(m + rad(c)));
    out->nutation_longitude_deg = -0.00478 * sin(omega);
    out->nutation_obliquity_deg = 0.00256 * cos(omega);
    out->heliocentric_deg = turn(l0 + c + 180.0);
    out->apparent_longitude_deg = turn(l0 + c - 0.00569 + out->nutation_longitude_deg);
    out->obliquity_deg = 23.0 + 26.0 / 60.0 + 21.448 / 3600.0 -
                         t * (46.8150 + t * (0.00059 - 0.001813 * t)) / 3600.0 +
                         out->nutation_obliquity_deg;
    *out_l0 = l0;
}

enum coil_status coil_sun_ephemeris(double time_s, struct coil_sun_ephemeris *out)
{
    enum coil_status status = check_time(time_s);
    double days = time_s / DAY_S - 10957.5; /* from J2000, UT */
    double t = (days + DELTA_T_S / DAY_S) / 36525.0;
    double t_ut = days / 36525.0;
    double lambda, epsilon, l0;

    if (status != COIL_OK)
        return status;
    out->julian_day = days + 2451545.0;
    solar_longitude(t, out, &l0);
    lambda = rad(out->apparent_longitude_deg);
    epsilon = rad(out->obliquity_deg);
    out->right_ascension_deg =
        turn(deg(atan2(cos(epsilon) * sin(lambda), cos(lambda))));
    out->declination_deg = deg(asin(sin(epsilon) * sin(lambda)));
    out->sidereal_deg = turn(280.46061837 + 360.98564736629 * days +
                             t_ut * t_ut * (0.000387933 - t_ut / 38710000.0) +
                             out->nutation_longitude_deg * cos(epsilon));
    /* Meeus chapter 28; 4 minutes per degree */
    out->equation_of_time_min =
        4.0 * half_turn(l0 - 0.0057183 - out->right_ascension_deg +
                        out->nutation_longitude_deg * cos(epsilon));
    return COIL_OK;
}

/* Elevation with parallax and azimuth from hour angle and declination (degrees). */
static void horizontal(double lat_deg, double hour_deg, double declination_deg,
                       double *out_elevation_deg, double *out_azimuth_deg)
{
    double phi = rad(lat_deg);
    double h = rad(hour_deg);
    double delta = rad(declination_deg);
    double sine = sin(phi) * sin(delta) + cos(phi) * cos(delta) * cos(h);
    double east = -cos(delta) * sin(h);
    double north = cos(phi) * sin(delta) - sin(phi) * cos(delta) * cos(h);
    double elevation = atan2(sine, hypot(east, north));

    *out_elevation_deg = deg(elevation) - PARALLAX_DEG * cos(elevation);
    *out_azimuth_deg =
        east == 0.0 && north == 0.0 ? 0.0 : turn(deg(atan2(east, north)));
}

enum coil_status coil_sun_position(double lat_deg, double lon_deg_east, double time_s,
                                   struct coil_sun_position *out)
{
    enum coil_status status = check_place(lat_deg, lon_deg_east);
    struct coil_sun_position position = {0};

    if (status == COIL_OK)
        status = coil_sun_ephemeris(time_s, &position.from_earth);
    if (status != COIL_OK)
        return status;
    position.hour_angle_deg =
        half_turn(position.from_earth.sidereal_deg + lon_deg_east -
                  position.from_earth.right_ascension_deg);
    horizontal(lat_deg, position.hour_angle_deg, position.from_earth.declination_deg,
               &position.elevation_deg, &position.azimuth_deg);
    *out = position;
    return COIL_OK;
}

enum coil_status coil_sun_refraction_deg(double elevation_deg, double pressure_hpa,
                                         double temp_c, double *out_deg)
{
    double e = elevation_deg;

    if (!isfinite(e) || !isfinite(pressure_hpa) || !isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (fabs(e) > 90.0 || pressure_hpa <= 0.0 || temp_c <= -273.15)
        return COIL_ERR_DOMAIN;
    if (e < REFRACTION_END_DEG)
        *out_deg = e <= -89.99 ? 0.0 : -20.774 / tan(rad(e)) / 3600.0;
    else
        *out_deg = fmax(0.0, pressure_hpa / 1010.0 * 283.0 / (273.0 + temp_c) * 1.02 /
                                 (60.0 * tan(rad(e + 10.3 / (e + 5.11)))));
    return COIL_OK;
}

/* ---- rise and set ---- */

struct place {
    double lat_deg;
    double lon_deg_east;
};

static double elevation_at(const struct place *place, double time_s)
{
    struct coil_sun_position position = {0};

    coil_sun_position(place->lat_deg, place->lon_deg_east, time_s, &position);
    return position.elevation_deg;
}

/* The instant near time_s at which the hour angle is hour_deg. */
static double at_hour_angle(const struct place *place, double time_s, double hour_deg)
{
    for (int i = 0; i < 3; i++) {
        struct coil_sun_position position = {0};

        coil_sun_position(place->lat_deg, place->lon_deg_east, time_s, &position);
        time_s += half_turn(hour_deg - position.hour_angle_deg) * 240.0;
    }
    return time_s;
}

/* Where the elevation passes the horizon; one end lies above it, the other below. */
static double crossing(const struct place *place, double below_s, double above_s,
                       double horizon_deg)
{
    while (fabs(above_s - below_s) > 0.1) {
        double middle = 0.5 * (below_s + above_s);

        if (elevation_at(place, middle) >= horizon_deg)
            above_s = middle;
        else
            below_s = middle;
    }
    return 0.5 * (below_s + above_s);
}

static void find_crossings(const struct place *place, double start_s, double end_s,
                           double horizon_deg, struct coil_sun_day *day)
{
    double noon_s = day->transit_s;
    bool up_first = elevation_at(place, start_s) >= horizon_deg;
    bool up_noon = day->transit_elevation_deg >= horizon_deg;
    bool up_last = elevation_at(place, end_s) >= horizon_deg;
    bool rises = false;
    bool sets = false;

    if (up_first != up_noon) {
        double at_s = crossing(place, up_noon ? start_s : noon_s,
                               up_noon ? noon_s : start_s, horizon_deg);
        rises = up_noon;
        sets = !up_noon;
        *(up_noon ? &day->rise_s : &day->set_s) = at_s;
    }
    if (up_noon != up_last) {
        double at_s = crossing(place, up_noon ? end_s : noon_s,
                               up_noon ? noon_s : end_s, horizon_deg);
        rises = rises || up_last;
        sets = sets || !up_last;
        *(up_last ? &day->rise_s : &day->set_s) = at_s;
    }
    if (rises && sets)
        day->kind = COIL_SUN_RISES_AND_SETS;
    else if (rises)
        day->kind = COIL_SUN_ONLY_RISES;
    else if (sets)
        day->kind = COIL_SUN_ONLY_SETS;
    else
        day->kind = up_noon ? COIL_SUN_ALWAYS_UP : COIL_SUN_ALWAYS_DOWN;
}

enum coil_status coil_sun_day(double lat_deg, double lon_deg_east, double time_s,
                              double horizon_deg, struct coil_sun_day *out)
{
    enum coil_status status = check_place(lat_deg, lon_deg_east);
    struct place place = {lat_deg, lon_deg_east};
    struct coil_sun_day day = {0};
    double start_s, end_s;

    if (status == COIL_OK)
        status = check_time(time_s);
    if (status == COIL_OK && !isfinite(horizon_deg))
        status = COIL_ERR_NOT_FINITE;
    /* two days inside, so that every instant looked at is in range */
    if (status == COIL_OK &&
        (fabs(horizon_deg) > 90.0 || time_s < COIL_SUN_TIME_MIN_S + 2.0 * DAY_S ||
         time_s > COIL_SUN_TIME_MAX_S - 2.0 * DAY_S))
        status = COIL_ERR_DOMAIN;
    if (status != COIL_OK)
        return status;
    day.transit_s = at_hour_angle(&place, time_s, 0.0);
    day.transit_elevation_deg = elevation_at(&place, day.transit_s);
    start_s = at_hour_angle(&place, day.transit_s - 0.5 * DAY_S, 180.0);
    end_s = at_hour_angle(&place, day.transit_s + 0.5 * DAY_S, 180.0);
    find_crossings(&place, start_s, end_s, horizon_deg, &day);
    switch (day.kind) {
    case COIL_SUN_RISES_AND_SETS:
        day.day_length_h = (day.set_s - day.rise_s) / 3600.0;
        if (day.day_length_h < 0.0) /* down only around noon: near the poles */
            day.day_length_h += (end_s - start_s) / 3600.0;
        break;
    case COIL_SUN_ONLY_RISES:
        day.day_length_h = (end_s - day.rise_s) / 3600.0;
        break;
    case COIL_SUN_ONLY_SETS:
        day.day_length_h = (day.set_s - start_s) / 3600.0;
        break;
    case COIL_SUN_ALWAYS_UP:
        day.day_length_h = 24.0;
        break;
    case COIL_SUN_ALWAYS_DOWN:
        break;
    }
    *out = day;
    return COIL_OK;
}

/* ---- clear sky ---- */

enum coil_status coil_clear_sky_haurwitz(double elevation_deg, double *out_w_per_m2)
{
    double sine = sin(rad(elevation_deg));

    if (!isfinite(elevation_deg))
        return COIL_ERR_NOT_FINITE;
    if (fabs(elevation_deg) > 90.0)
        return COIL_ERR_DOMAIN;
    *out_w_per_m2 = sine > 0.0 ? 1098.0 * sine * exp(-0.059 / sine) : 0.0;
    return COIL_OK;
}

static enum coil_status check_ineichen(double zenith_deg, double airmass, double linke,
                                       double altitude_m, double extra_w_per_m2)
{
    if (!isfinite(zenith_deg) || !isfinite(airmass) || !isfinite(linke) ||
        !isfinite(altitude_m) || !isfinite(extra_w_per_m2))
        return COIL_ERR_NOT_FINITE;
    if (zenith_deg < 0.0 || zenith_deg > 180.0 || airmass <= 0.0 || linke <= 0.0 ||
        altitude_m < -500.0 || altitude_m > 9000.0 || extra_w_per_m2 <= 0.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* fh1, fh2, cg1, cg2 and b are the paper's symbols. */
enum coil_status coil_clear_sky_ineichen(double zenith_deg, double airmass,
                                         double linke, double altitude_m,
                                         double extra_w_per_m2,
                                         struct coil_clear_sky *out)
{
    enum coil_status status =
        check_ineichen(zenith_deg, airmass, linke, altitude_m, extra_w_per_m2);
    double fh1 = exp(-altitude_m / 8000.0);
    double fh2 = exp(-altitude_m / 1250.0);
    double cg1 = 5.09e-5 * altitude_m + 0.868;
    double cg2 = 3.92e-5 * altitude_m + 0.0387;
    double b = 0.664 + 0.163 / fh1;
    double cosine = cos(rad(zenith_deg));
    double beam, rest;

    if (status != COIL_OK)
        return status;
    if (zenith_deg >= 90.0) {
        *out = (struct coil_clear_sky){0.0, 0.0, 0.0};
        return COIL_OK;
    }
    out->global_w_per_m2 = cg1 * extra_w_per_m2 * cosine *
                           exp(-cg2 * airmass * (fh1 + fh2 * (linke - 1.0)));
    beam = extra_w_per_m2 * b * exp(-0.09 * airmass * (linke - 1.0));
    rest = out->global_w_per_m2 *
           fmax(0.0, (1.0 - (0.1 - 0.2 * exp(-linke)) / (0.1 + 0.882 / fh1)) / cosine);
    out->direct_w_per_m2 = fmin(beam, rest);
    out->diffuse_w_per_m2 = out->global_w_per_m2 - out->direct_w_per_m2 * cosine;
    return COIL_OK;
}

enum coil_status coil_airmass_kasten_young(double zenith_deg, double *out_airmass)
{
    if (!isfinite(zenith_deg))
        return COIL_ERR_NOT_FINITE;
    if (zenith_deg < 0.0 || zenith_deg > 90.0)
        return COIL_ERR_DOMAIN;
    *out_airmass =
        1.0 / (cos(rad(zenith_deg)) + 0.50572 * pow(96.07995 - zenith_deg, -1.6364));
    return COIL_OK;
}

enum coil_status coil_extraterrestrial_day(double lat_deg, double day_of_year,
                                           double *out_mj_per_m2,
                                           double *out_day_length_h)
{
    double phi = rad(lat_deg);
    double angle = 2.0 * PI / 365.0 * day_of_year;
    double delta = 0.409 * sin(angle - 1.39);
    double distance = 1.0 + 0.033 * cos(angle); /* inverse, relative */
    double cosine, omega;

    if (!isfinite(lat_deg) || !isfinite(day_of_year))
        return COIL_ERR_NOT_FINITE;
    if (fabs(lat_deg) > 90.0 || day_of_year < 1.0 || day_of_year > 366.0)
        return COIL_ERR_DOMAIN;
    cosine = -tan(phi) * tan(delta);
    omega = acos(fmin(1.0, fmax(-1.0, cosine)));
    *out_mj_per_m2 =
        24.0 * 60.0 / PI * 0.0820 * distance *
        (omega * sin(phi) * sin(delta) + cos(phi) * cos(delta) * sin(omega));
    *out_day_length_h = 24.0 / PI * omega;
    return COIL_OK;
}
