/*
 * Checks the tables of the sun against lib/sun.h: positions, rise and set, worked
 * examples, clear-sky irradiance.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/sun.h"
#include "tests/lib/tables.h"

#define SUN_DEG 0.02 /* the tables' own tolerance */
#define SUN_MIN 0.1  /* equation of time: 0.02 degree is 0.08 min */
#define RISE_S 60.0

/* Days since 1970 of a date of the Gregorian calendar. */
static double days_from_date(int year, int month, int day)
{
    int y = month <= 2 ? year - 1 : year;
    int era = y / 400;
    int yoe = y - era * 400;
    int doy = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;

    return 146097.0 * era + (yoe * 365 + yoe / 4 - yoe / 100 + doy) - 719468.0;
}

/* "2024-03-20T17:38:00Z", "2003-10-17T12:30:30-07:00". 0 when it is no such text. */
static int parse_instant(const char *text, double *out_s)
{
    int y, mo, d, h, mi, s, zone_h = 0, zone_m = 0;
    char sign = 'Z';
    int count = sscanf(text, "%4d-%2d-%2dT%2d:%2d:%2d%c%2d:%2d", &y, &mo, &d, &h, &mi,
                       &s, &sign, &zone_h, &zone_m);

    if (count != 9 && !(count == 7 && sign == 'Z'))
        return 0;
    *out_s = 86400.0 * days_from_date(y, mo, d) + 3600.0 * h + 60.0 * mi + s;
    if (count == 9)
        *out_s -= (sign == '-' ? -1.0 : 1.0) * (3600.0 * zone_h + 60.0 * zone_m);
    return 1;
}

static int instant(const struct table *table, size_t row, const char *column,
                   double *out_s, char *message)
{
    const char *text = check_text(table, row, column, message);

    if (text == NULL)
        return 0;
    if (parse_instant(text, out_s))
        return 1;
    return check_fail(message, "%s: \"%.60s\" is no instant", column, text);
}

static int place(const struct table *table, size_t row, double *out_lat_deg,
                 double *out_lon_deg, char *message)
{
    return check_input(table, row, "lat_deg", out_lat_deg, message) &&
           check_input(table, row, "lon_deg_east", out_lon_deg, message);
}

/* Azimuth on the circle, and as wide as it is: near the zenith it means little. */
static int check_azimuth(const struct table *table, size_t row, const char *column,
                         const struct coil_sun_position *got, char *message)
{
    double expected;
    double off;

    if (table_number(table, row, column, &expected) != TABLE_NUMBER)
        return check_fail(message, "%s: no number", column);
    off = remainder(got->azimuth_deg - expected, 360.0) *
          cos(got->elevation_deg * 3.14159265358979 / 180.0);
    if (fabs(off) <= SUN_DEG)
        return 1;
    return check_fail(message, "%s: expected %.10g, got %.10g", column, expected,
                      got->azimuth_deg);
}

static int check_position(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"elev_airless_astropy_deg", NULL};
    struct coil_sun_position sun = {0};
    double lat_deg, lon_deg, time_s;
    enum check_next next;

    if (!place(table, row, &lat_deg, &lon_deg, message) ||
        !instant(table, row, "utc", &time_s, message))
        return 0;
    next = check_status(table, row, coil_sun_position(lat_deg, lon_deg, time_s, &sun),
                        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "elev_airless_astropy_deg", sun.elevation_deg,
                      SUN_DEG, message) &&
           check_near(table, row, "elev_airless_ephem_deg", sun.elevation_deg, SUN_DEG,
                      message) &&
           check_near(table, row, "elev_airless_noaa_eqs_deg", sun.elevation_deg,
                      SUN_DEG, message) &&
           check_azimuth(table, row, "azimuth_astropy_deg", &sun, message) &&
           check_azimuth(table, row, "azimuth_ephem_deg", &sun, message) &&
           check_azimuth(table, row, "azimuth_noaa_eqs_deg", &sun, message) &&
           check_near(table, row, "declination_noaa_deg",
                      sun.from_earth.declination_deg, SUN_DEG, message) &&
           check_near(table, row, "equation_of_time_noaa_min",
                      sun.from_earth.equation_of_time_min, SUN_MIN, message);
}

/* An empty cell expects that there is no such event. */
static int check_event(const struct table *table, size_t row, const char *column,
                       int happens, double got_s, char *message)
{
    const char *text = check_text(table, row, column, message);
    double expected_s;

    if (text == NULL)
        return 0;
    if (*text == '\0')
        return !happens || check_fail(message, "%s: expected none", column);
    if (!happens)
        return check_fail(message, "%s: expected %s, got none", column, text);
    if (!parse_instant(text, &expected_s))
        return check_fail(message, "%s: \"%.60s\" is no instant", column, text);
    if (fabs(got_s - expected_s) <= RISE_S)
        return 1;
    return check_fail(message, "%s: expected %s, got %.0f s later", column, text,
                      got_s - expected_s);
}

static int check_rise_set(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"transit_utc", NULL};
    const char *date = check_text(table, row, "local_mean_date", message);
    struct coil_sun_day day = {0};
    double lat_deg, lon_deg;
    int y, m, d;
    enum check_next next;

    if (date == NULL || !place(table, row, &lat_deg, &lon_deg, message))
        return 0;
    if (sscanf(date, "%4d-%2d-%2d", &y, &m, &d) != 3)
        return check_fail(message, "local_mean_date: \"%.60s\" is no date", date);
    next = check_status(
        table, row,
        coil_sun_day(lat_deg, lon_deg,
                     86400.0 * (days_from_date(y, m, d) + 0.5 - lon_deg / 360.0),
                     COIL_SUN_HORIZON_DEG, &day),
        expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_event(table, row, "sunrise_utc", day.kind == COIL_SUN_RISES_AND_SETS,
                       day.rise_s, message) &&
           check_event(table, row, "transit_utc", 1, day.transit_s, message) &&
           check_event(table, row, "sunset_utc", day.kind == COIL_SUN_RISES_AND_SETS,
                       day.set_s, message) &&
           check_near(table, row, "day_length_h", day.day_length_h, 2 * RISE_S / 3600.0,
                      message) &&
           check_near(table, row, "transit_elev_airless_deg", day.transit_elevation_deg,
                      SUN_DEG, message);
}

/* "07:08:15" or "07:19" on a date in a zone; other text ("DO NOT USE") expects nothing.
 * Times in whole minutes may be half a minute off by themselves. */
static int check_clock(const struct table *table, size_t row, const char *column,
                       double midnight_s, double got_s, char *message)
{
    const char *text = check_text(table, row, column, message);
    int h, m, s = 0;
    int count;
    double off;

    if (text == NULL)
        return 0;
    count = sscanf(text, "%2d:%2d:%2d", &h, &m, &s);
    if (count < 2)
        return 1;
    off = got_s - (midnight_s + 3600.0 * h + 60.0 * m + s);
    if (fabs(off) <= RISE_S)
        return 1;
    return check_fail(message, "%s: expected %s, got %.0f s later", column, text, off);
}

static int check_rise_published(const struct table *table, size_t row, char *message)
{
    const char *date = check_text(table, row, "date_local", message);
    const char *zone = check_text(table, row, "zone", message);
    struct coil_sun_day day = {0};
    double lat_deg, lon_deg, midnight_s;
    int y, m, d;
    int hours = 0;

    if (date == NULL || zone == NULL || !place(table, row, &lat_deg, &lon_deg, message))
        return 0;
    if (sscanf(date, "%4d-%2d-%2d", &y, &m, &d) != 3)
        return check_fail(message, "date_local: \"%.60s\" is no date", date);
    if (strcmp(zone, "UTC") != 0 && sscanf(zone, "UTC%d", &hours) != 1)
        return check_fail(message, "zone: \"%.60s\" is not known", zone);
    midnight_s = 86400.0 * days_from_date(y, m, d) - 3600.0 * hours;
    if (coil_sun_day(lat_deg, lon_deg, midnight_s + 43200.0, COIL_SUN_HORIZON_DEG,
                     &day) != COIL_OK ||
        day.kind != COIL_SUN_RISES_AND_SETS)
        return check_fail(message, "expected rise and set, got none");
    return check_clock(table, row, "sunrise", midnight_s, day.rise_s, message) &&
           check_clock(table, row, "transit", midnight_s, day.transit_s, message) &&
           check_clock(table, row, "sunset", midnight_s, day.set_s, message);
}

/* ---- the two worked examples: one quantity per row ---- */

struct example {
    double time_s, lat_deg, lon_deg, pressure_hpa, temp_c;
};

static const struct example spa = {1066419030.0, 39.742476, -105.1786, 820.0, 11.0};
static const struct example noaa = {1277103960.0, 40.0, -105.0, 1013.25, 10.0};

static double apparent_elevation(const struct example *example,
                                 const struct coil_sun_position *sun, double *out_lift)
{
    coil_sun_refraction_deg(sun->elevation_deg, example->pressure_hpa, example->temp_c,
                            out_lift);
    return sun->elevation_deg + *out_lift;
}

/* What a quantity of an example comes to; 0 when the name is not known. */
static int example_value(const struct example *example, const char *name,
                         double *out_value, double *out_tolerance)
{
    struct coil_sun_position sun = {0};
    const struct coil_sun_ephemeris *e = &sun.from_earth;
    double lift = 0.0;
    double apparent;

    if (coil_sun_position(example->lat_deg, example->lon_deg, example->time_s, &sun) !=
        COIL_OK)
        return 0;
    apparent = apparent_elevation(example, &sun, &lift);
    const struct {
        const char *name;
        double value;
        double tolerance;
    } known[] = {
        {"julian_day", e->julian_day, 1e-5},
        {"earth_heliocentric_longitude_L", e->heliocentric_deg, SUN_DEG},
        {"earth_heliocentric_latitude_B", 0.0, SUN_DEG}, /* left out by the method */
        {"radius_vector_R", e->distance_au, 1e-4},
        {"nutation_longitude", e->nutation_longitude_deg, 1e-3},
        {"nutation_obliquity", e->nutation_obliquity_deg, 1e-3},
        {"true_obliquity", e->obliquity_deg, 1e-3},
        {"apparent_sun_longitude", e->apparent_longitude_deg, SUN_DEG},
        {"apparent_sidereal_time", e->sidereal_deg, 1e-3},
        {"right_ascension_geocentric", e->right_ascension_deg, SUN_DEG},
        {"right_ascension_topocentric", e->right_ascension_deg, SUN_DEG},
        {"right_ascension", e->right_ascension_deg, SUN_DEG},
        {"declination_geocentric", e->declination_deg, SUN_DEG},
        {"declination_topocentric", e->declination_deg, SUN_DEG},
        {"declination", e->declination_deg, SUN_DEG},
        {"hour_angle", sun.hour_angle_deg, SUN_DEG},
        {"equation_of_time", e->equation_of_time_min, SUN_MIN},
        {"elevation_airless", sun.elevation_deg, SUN_DEG},
        {"true_elevation", sun.elevation_deg, SUN_DEG},
        {"refraction", lift, 0.005},
        {"elevation_apparent", apparent, SUN_DEG},
        {"apparent_elevation", apparent, SUN_DEG},
        {"zenith_apparent", 90.0 - apparent, SUN_DEG},
        {"azimuth_from_north", sun.azimuth_deg, SUN_DEG},
        {"azimuth", sun.azimuth_deg, SUN_DEG},
        /* what goes in: the rows must say what the example was computed for */
        {"latitude", example->lat_deg, 1e-9},
        {"longitude", example->lon_deg, 1e-9},
        {"pressure", example->pressure_hpa, 1e-9},
        {"temperature", example->temp_c, 1e-9},
        {"delta_T", 69.0, 5.0},       /* ours is fixed */
        {"delta_UT1", 0.0, 1.0},      /* not counted */
        {"elevation", 1830.14, 1e-9}, /* moves parallax by nothing that shows */
    };

    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(known[i].name, name) == 0) {
            *out_value = known[i].value;
            *out_tolerance = known[i].tolerance;
            return 1;
        }
    }
    return 0;
}

static int check_example(const struct example *example, const struct table *table,
                         size_t row, char *message)
{
    const char *name = check_text(table, row, "quantity", message);
    double value = 0.0;
    double tolerance = 0.0;

    if (name == NULL)
        return 0;
    if (strcmp(name, "local_time") == 0 || strcmp(name, "utc") == 0)
        return instant(table, row, "value", &value, message) &&
               (value == example->time_s ||
                check_fail(message, "value: not the instant of this example"));
    if (!example_value(example, name, &value, &tolerance))
        return check_fail(message, "\"%.60s\" is not computed", name);
    return check_near(table, row, "value", value, tolerance, message);
}

static int check_spa(const struct table *table, size_t row, char *message)
{
    return check_example(&spa, table, row, message);
}

static int check_noaa(const struct table *table, size_t row, char *message)
{
    return check_example(&noaa, table, row, message);
}

/* ---- clear sky ---- */

static int check_haurwitz(const struct table *table, size_t row, const char *input,
                          char *message)
{
    double angles[3] = {NAN, NAN, NAN};
    int count =
        sscanf(input, "elevation %lf/%lf/%lf", &angles[0], &angles[1], &angles[2]);
    double got = NAN;

    if (count < 1)
        return check_fail(message, "input: \"%.60s\" is not understood", input);
    for (int i = 0; i < count; i++)
        if (coil_clear_sky_haurwitz(angles[i], &got) != COIL_OK ||
            !check_near(table, row, "ghi_W_m2", got, 1e-9, message))
            return 0;
    return 1;
}

/* "apparent zenith 10 airmass 1 Linke 3 altitude 0 I0 1364", "zenith 46 airmass 1.3
 * Linke 3", "as above I0 1370", "as above altitude 2000 m I0 1364". */
static int check_ineichen(const struct table *table, size_t row, const char *input,
                          char *message)
{
    static const char *const names[] = {"zenith", "airmass", "Linke", "altitude", "I0"};
    double values[] = {10.0, 1.0, 3.0, 0.0, 1364.0};
    struct coil_clear_sky sky = {0};

    for (size_t i = 0; i < 5; i++) {
        const char *at = strstr(input, names[i]);

        if (at != NULL && sscanf(at + strlen(names[i]), "%lf", &values[i]) != 1)
            return check_fail(message, "input: %s without a number", names[i]);
    }
    if (coil_clear_sky_ineichen(values[0], values[1], values[2], values[3], values[4],
                                &sky) != COIL_OK)
        return check_fail(message, "input: refused");
    return check_near_relative(table, row, "ghi_W_m2", sky.global_w_per_m2, 1e-6,
                               message) &&
           check_near_relative(table, row, "dni_W_m2", sky.direct_w_per_m2, 1e-6,
                               message) &&
           check_near_relative(table, row, "dhi_W_m2", sky.diffuse_w_per_m2, 1e-6,
                               message);
}

static int check_clear_sky(const struct table *table, size_t row, char *message)
{
    const char *model = check_text(table, row, "model", message);
    const char *input = check_text(table, row, "input", message);

    if (model == NULL || input == NULL)
        return 0;
    if (strcmp(model, "haurwitz") == 0)
        return check_haurwitz(table, row, input, message);
    if (strcmp(model, "ineichen-perez") == 0)
        return check_ineichen(table, row, input, message);
    if (strcmp(model, "simplified-solis") == 0)
        return 1; /* a third model, which we do not have */
    return check_fail(message, "model: \"%.60s\" is not known", model);
}

/* RAD-1, for 20 degrees south on day 246; other rows belong to other topics. */
static int check_radiation_example(const struct table *table, size_t row, char *message)
{
    const char *id = check_text(table, row, "id", message);
    const char *inputs = check_text(table, row, "inputs", message);
    const char *result = check_text(table, row, "result", message);
    double lat_deg, day, mj, hours;
    double got_mj = NAN;
    double got_h = NAN;

    if (id == NULL || inputs == NULL || result == NULL)
        return 0;
    if (strcmp(id, "RAD-1") != 0)
        return 1;
    if (sscanf(inputs, "%lf S, 3 September (J %lf)", &lat_deg, &day) != 2 ||
        sscanf(result, "Ra %lf MJ/m2/d; N %lf h", &mj, &hours) != 2)
        return check_fail(message, "RAD-1 is not understood");
    if (coil_extraterrestrial_day(-lat_deg, day, &got_mj, &got_h) == COIL_OK &&
        fabs(got_mj - mj) <= 0.05 && fabs(got_h - hours) <= 0.05)
        return 1;
    return check_fail(message, "RAD-1: got %.3f MJ/m2, %.3f h", got_mj, got_h);
}

const struct table_check tables_sun[] = {
    {"solar_position_reference.csv", check_position},
    {"solar_rise_set_reference.csv", check_rise_set},
    {"rise_set_published.csv", check_rise_published},
    {"spa_worked_example.csv", check_spa},
    {"noaa_worked_example.csv", check_noaa},
    {"clear_sky_checks.csv", check_clear_sky},
    {"worked_examples.csv", check_radiation_example},
    {NULL, NULL},
};
