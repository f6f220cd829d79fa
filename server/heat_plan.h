/*
 * "Warm by": a heater's facts, the weather as far as it is known, and lib/heat.h's plan
 * with its band. What is missing is named, what is assumed too. Knows no JSON.
 */
#ifndef HEAT_PLAN_H
#define HEAT_PLAN_H

#include "db.h"
#include "lib/heat.h"

/* "therm", …, by enum coil_fuel_unit; ends with NULL. */
extern const char *const heat_unit_keys[];
/* "none", "bubble", "solid", by enum db_warm_up_cover; ends with NULL. */
extern const char *const heat_cover_keys[];

struct coil_cover heat_cover(enum db_warm_up_cover cover);
/* An automatic cover counts as a solid one. */
enum db_warm_up_cover heat_cover_of(const struct db_water *water);

/* Air and sun of some hours, as far as known. NAN: not known. */
struct heat_weather {
    double air_low_c, air_high_c; /* of a day; the high near 15 h local sun time */
    double wind_m_per_s;          /* at the water */
    double cloud_fraction;
    double humidity; /* fraction; NAN: the air's dew point is the night's low [fao-56] */
};

/* Fills what is not known with what is assumed; out_assumed gets the names. Returns
 * how many. */
size_t heat_weather_assume(struct heat_weather *weather, bool is_indoor,
                           const char *out_assumed[4]);

/* Hour by hour from an instant. shift_k is added to the air. */
void heat_weather_hours(const struct heat_weather *weather, const struct db_site *site,
                        bool is_indoor, int64_t from_s, double shift_k,
                        struct coil_pool_weather *out, size_t count);

/* False while volume or surface is not known. Walls and floor: 0.5 W/(m2 K), light
 * basin, quiet home: conventions of ours, no source. */
bool heat_pool(const struct db_water *water, double ground_temp_c,
               struct coil_pool *out);

/* Surface, or volume over mean depth; 0 while neither is known. */
double heat_area_m2(const struct db_water *water);

#define HEAT_LACKS_MAX 8
#define HEAT_WAYS_MAX 5
#define HEAT_TEMP_VALID_S (3 * 86400) /* an older temperature says nothing of now */

struct heat_ask {
    int64_t heater_id, water_id, now_s, by_s;
    double wanted_temp_c;
    double temp_c; /* NAN: the newest reading's */
    struct heat_weather weather;
    int cover; /* enum db_warm_up_cover; -1: as the water has */
};

/* The plan under one cover and wind. */
struct heat_way {
    enum db_warm_up_cover cover;
    double wind_m_per_s;
    struct coil_warm_up_band band;
};

struct heat_plan {
    const char *lacks[HEAT_LACKS_MAX]; /* what to enter first; then nothing else counts */
    size_t lack_count;
    const char *assumed[HEAT_LACKS_MAX];
    size_t assumed_count;
    double temp_c;
    int64_t temp_at; /* 0: as asked */
    struct heat_weather weather;
    double efficiency, u_efficiency; /* half width */
    bool efficiency_is_measured;
    double input_w;
    struct heat_way ways[HEAT_WAYS_MAX]; /* the first is the one asked for */
    size_t way_count;
    struct coil_heat_balance mean; /* while it warms, along the likely plan */
    double hold_j_per_day;         /* fuel that keeps the wanted temperature */
    bool is_out_of_range;          /* weather or wind beyond the sources' */
    struct coil_tariff tariff;
    bool has_price;
    char currency[9];
};

/* DB_NOT_FOUND also when the heater does not serve the water. */
enum db_status heat_plan_make(struct db *db, const struct heat_ask *ask,
                              struct heat_plan *out);

/* The tariff, or the unit that this house and fuel would use, without a price. */
enum db_status heat_tariff(struct db *db, const struct db_heater *heater,
                           const struct db_site *site, struct coil_tariff *out,
                           bool *out_has_price, char out_currency[9]);

#endif
