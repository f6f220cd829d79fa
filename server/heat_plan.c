#include "heat_plan.h"

#include <math.h>
#include <string.h>

#include "decimal.h"
#include "heater_efficiency.h"
#include "lib/moist_air.h"
#include "lib/sun.h"

#define PI 3.14159265358979323846
#define HOUR_S 3600
#define DAY_S 86400.0
#define HOURS_MAX COIL_WEATHER_HOURS_MAX

/* Half widths of about 90 %: conventions of ours, no source. */
#define DOUBT_LOSS 0.3
#define DOUBT_VOLUME 0.05
#define DOUBT_TEMP_K 0.5
#define DOUBT_TEMP_K_PER_DAY 0.8
#define DOUBT_AIR_GIVEN_K 2.0
#define DOUBT_AIR_ASSUMED_K 8.0
#define WIND_SHELTERED 0.5
#define WIND_BREEZY 3.0
/* A gas heater nobody measured; a plain electric one gives all it takes. */
#define EFFICIENCY_ASSUMED 0.80
#define DOUBT_EFFICIENCY 0.07
#define EFFICIENCY_ELECTRIC 1.0

const char *const heat_unit_keys[] = {"therm",          "m3",        "ft3", "kwh",
                                      "propane_us_gal", "propane_l", NULL};
const char *const heat_cover_keys[] = {"none", "bubble", "solid", NULL};

struct coil_cover heat_cover(enum db_warm_up_cover cover)
{
    return cover == DB_WARM_UP_SOLID    ? coil_cover_opaque()
           : cover == DB_WARM_UP_BUBBLE ? coil_cover_bubble()
                                        : coil_cover_none();
}

enum db_warm_up_cover heat_cover_of(const struct db_water *water)
{
    return water->cover == DB_COVER_NONE     ? DB_WARM_UP_OPEN
           : water->cover == DB_COVER_BUBBLE ? DB_WARM_UP_BUBBLE
                                             : DB_WARM_UP_SOLID;
}

/* ---- weather ---- */

static void assume(double *value, double assumed, const char *name,
                   const char *out_assumed[4], size_t *count)
{
    if (!isnan(*value))
        return;
    *value = assumed;
    out_assumed[(*count)++] = name;
}

size_t heat_weather_assume(struct heat_weather *weather, bool is_indoor,
                           const char *out_assumed[4])
{
    size_t count = 0;

    if (is_indoor) { /* a hall under a roof: no sky, no sun, no wind */
        if (isnan(weather->humidity))
            weather->humidity = 0.55;
        weather->wind_m_per_s = 0.0;
        weather->cloud_fraction = 1.0;
        assume(&weather->air_low_c, 25.0, "air_low_c", out_assumed, &count);
        assume(&weather->air_high_c, weather->air_low_c, "air_high_c", out_assumed,
               &count);
        return count;
    }
    if (isnan(weather->air_low_c) && isnan(weather->air_high_c)) {
        assume(&weather->air_low_c, 10.0, "air_low_c", out_assumed, &count);
        assume(&weather->air_high_c, 20.0, "air_high_c", out_assumed, &count);
    }
    assume(&weather->air_low_c, weather->air_high_c - 10.0, "air_low_c", out_assumed,
           &count);
    assume(&weather->air_high_c, weather->air_low_c + 10.0, "air_high_c", out_assumed,
           &count);
    assume(&weather->wind_m_per_s, 1.0, "wind_m_per_s", out_assumed, &count);
    assume(&weather->cloud_fraction, 0.5, "cloud_fraction", out_assumed, &count);
    return count;
}

static double clamp(double value, double low, double high)
{
    return fmin(fmax(value, low), high);
}

/* Part of saturation; without a humidity the dew point is the night's low. */
static double humidity(const struct heat_weather *weather, double air_c, double shift_k)
{
    double dew_pa = 0.0, full_pa = 1.0;

    if (!isnan(weather->humidity))
        return weather->humidity;
    coil_saturation_pressure_pa(weather->air_low_c + shift_k, &dew_pa);
    coil_saturation_pressure_pa(air_c, &full_pa);
    return clamp(dew_pa / full_pa, 0.0, 1.0);
}

static double sun_w_per_m2(const struct db_site *site, double cloud_fraction,
                           int64_t time_s)
{
    struct coil_sun_position sun;
    double clear = 0.0, under = 0.0;

    if (!site->has_place ||
        coil_sun_position(decimal_to_double(site->latitude_e6),
                          decimal_to_double(site->longitude_e6), (double)time_s,
                          &sun) != COIL_OK ||
        coil_clear_sky_haurwitz(sun.elevation_deg, &clear) != COIL_OK ||
        coil_sun_under_clouds(clear, cloud_fraction, &under) != COIL_OK)
        return 0.0; /* counted as shade: the safe side */
    return under;
}

void heat_weather_hours(const struct heat_weather *weather, const struct db_site *site,
                        bool is_indoor, int64_t from_s, double shift_k,
                        struct coil_pool_weather *out, size_t count)
{
    const double mean_c = 0.5 * (weather->air_low_c + weather->air_high_c);
    const double swing_k = 0.5 * fabs(weather->air_high_c - weather->air_low_c);
    const double east_h =
        site->has_place ? decimal_to_double(site->longitude_e6) / 15.0 : 0.0;

    for (size_t i = 0; i < count; i++) {
        int64_t at = from_s + (int64_t)i * HOUR_S + HOUR_S / 2;
        double sun_h = (double)at / HOUR_S + east_h;
        double air_c =
            clamp(mean_c + shift_k + swing_k * cos(2.0 * PI * (sun_h - 15.0) / 24.0),
                  -40.0, 60.0);

        out[i] = (struct coil_pool_weather){
            .air = {.temp_c = air_c,
                    .relative_humidity = humidity(weather, air_c, shift_k),
                    .wind_m_per_s = weather->wind_m_per_s,
                    .cloud_fraction = weather->cloud_fraction,
                    .pressure_pa = COIL_ATMOSPHERE_PA},
            .sun_w_per_m2 =
                is_indoor ? 0.0 : sun_w_per_m2(site, weather->cloud_fraction, at),
        };
    }
}

/* ---- the pool ---- */

double heat_area_m2(const struct db_water *water)
{
    if (water->surface_m2_e6 > 0)
        return decimal_to_double(water->surface_m2_e6);
    if (water->volume_m3_e6 > 0 && water->depth_m_e6 > 0)
        return (double)water->volume_m3_e6 / (double)water->depth_m_e6;
    return 0.0;
}

bool heat_pool(const struct db_water *water, double ground_temp_c,
               struct coil_pool *out)
{
    double volume_m3 = decimal_to_double(water->volume_m3_e6);
    double area_m2 = heat_area_m2(water);
    double walls_m2;

    if (!(volume_m3 > 0.0 && area_m2 > 0.0))
        return false;
    walls_m2 = 4.0 * sqrt(area_m2) * volume_m3 / area_m2; /* of a square basin */
    *out = (struct coil_pool){
        .volume_m3 = volume_m3,
        .area_m2 = area_m2,
        .form = water->indoor ? COIL_EVAPORATION_INDOOR : COIL_EVAPORATION_ASHRAE,
        .activity_factor = water->indoor ? COIL_ACTIVITY_QUIET_HOME : 1.0,
        .sun_kept = COIL_SUN_KEPT_LIGHT,
        .ground_w_per_k = clamp(0.5 * (area_m2 + walls_m2), 0.0, 10000.0),
        .ground_temp_c = clamp(ground_temp_c, -10.0, 40.0),
        .fill_temp_c = clamp(ground_temp_c, 4.0, 25.0),
    };
    return true;
}

/* ---- the plan ---- */

struct making {
    struct db_site site;
    struct db_water water;
    struct db_heater heater;
    const struct heat_ask *ask;
    struct heat_plan *out;
    struct coil_pool pool;
    struct coil_pool_weather hours[3][HOURS_MAX]; /* likely, warm, cold */
    double temp_age_s;
};

static void lack(struct heat_plan *plan, const char *name)
{
    if (plan->lack_count < HEAT_LACKS_MAX)
        plan->lacks[plan->lack_count++] = name;
}

static void find_temp(struct making *m, const struct coil_permit_facts *facts)
{
    const struct coil_history *history = &facts->history[COIL_WATER_TEMP];
    struct heat_plan *out = m->out;

    out->temp_c = m->ask->temp_c;
    if (!isnan(out->temp_c))
        return;
    if (history->count == 0 ||
        m->ask->now_s - history->newest[0].at_s > HEAT_TEMP_VALID_S) {
        lack(out, "temp_c");
        return;
    }
    out->temp_c = clamp(history->newest[0].value, 0.0, 50.0);
    out->temp_at = history->newest[0].at_s;
    m->temp_age_s = (double)(m->ask->now_s - out->temp_at);
}

static void find_lacks(struct making *m)
{
    if (m->water.volume_m3_e6 <= 0)
        lack(m->out, "volume_m3");
    if (m->water.surface_m2_e6 <= 0 && m->water.depth_m_e6 <= 0)
        lack(m->out, "surface_m2");
    if (m->heater.input_w_e6 <= 0)
        lack(m->out, "input_w");
    if (m->heater.fuel == DB_HEAT_PUMP)
        lack(m->out, "fuel"); /* what it gives depends on the air: no figure of ours */
}

/* Of the warm-ups where they tell one, else assumed. */
static enum db_status find_efficiency(struct db *db, struct making *m)
{
    bool is_electric = m->heater.fuel == DB_ELECTRIC;
    struct heater_efficiency measured = {0};
    enum db_status status = DB_OK;

    m->out->efficiency = is_electric ? EFFICIENCY_ELECTRIC : EFFICIENCY_ASSUMED;
    m->out->u_efficiency = is_electric ? 0.0 : DOUBT_EFFICIENCY;
    if (is_electric)
        return DB_OK;
    status = heater_efficiency_make(db, m->heater.id, m->ask->now_s, &measured);
    if (status == DB_OK && measured.has_trend && measured.now > 0.4) {
        m->out->efficiency = measured.now;
        m->out->u_efficiency = fmin(measured.u_now, 0.25);
        m->out->efficiency_is_measured = true;
    } else if (m->out->assumed_count < HEAT_LACKS_MAX) {
        m->out->assumed[m->out->assumed_count++] = "efficiency";
    }
    heater_efficiency_finish(&measured);
    return status;
}

static struct coil_weather hours_of(const struct making *m, int kind)
{
    return (struct coil_weather){m->hours[kind], HOURS_MAX};
}

static void fill_hours(struct making *m, double wind_m_per_s, double doubt_air_k)
{
    static const double sides[] = {0.0, 1.0, -1.0};
    struct heat_weather weather = m->out->weather;

    weather.wind_m_per_s = wind_m_per_s;
    for (int i = 0; i < 3; i++)
        heat_weather_hours(&weather, &m->site, m->water.indoor, m->ask->now_s,
                           sides[i] * doubt_air_k, m->hours[i], HOURS_MAX);
}

/* All doubts of one side at once, the air's too. */
static bool plan_way(struct making *m, struct heat_way *way,
                     struct coil_heat_doubt doubt)
{
    const struct coil_cover cover = heat_cover(way->cover);
    const struct coil_fired_heater heater = {m->out->input_w, m->out->efficiency};
    const struct coil_weather likely = hours_of(m, 0), warm = hours_of(m, 1),
                              cold = hours_of(m, 2);
    const struct coil_warm_up_ask ask = {m->out->temp_c, m->ask->wanted_temp_c,
                                         (double)(m->ask->by_s - m->ask->now_s)};
    enum coil_status status;

    doubt.easy_weather = &warm;
    doubt.hard_weather = &cold;
    status = coil_warm_up_with_doubt(&m->pool, &cover, &heater, &likely, &ask, &doubt,
                                     &way->band);
    m->out->is_out_of_range |= status > COIL_OK;
    return status >= COIL_OK;
}

/* Losses while it warms along the likely plan of the way asked for, hour by hour at the
 * mean temperature. */
static void mean_balance(struct making *m)
{
    const struct heat_way *way = &m->out->ways[0];
    const struct coil_cover cover = heat_cover(way->cover);
    const struct coil_warm_up *likely = &way->band.likely;
    double middle_c = 0.5 * (m->out->temp_c + m->ask->wanted_temp_c), lost = 0.0;
    size_t first = (size_t)(likely->start_s / HOUR_S);
    size_t last = (size_t)(likely->reached_s / HOUR_S), count = 0;
    struct coil_heat_balance *mean = &m->out->mean;

    for (size_t i = first; i <= last && i < HOURS_MAX; i++, count++) {
        struct coil_heat_balance one;

        if (coil_heat_balance(&m->pool, &cover, middle_c, &m->hours[0][i], &one) <
            COIL_OK)
            return;
        for (int part = 0; part < COIL_HEAT_PART_COUNT; part++)
            mean->part_w[part] += one.part_w[part];
        mean->net_w += one.net_w;
        mean->evaporation_kg_per_h += one.evaporation_kg_per_h;
    }
    if (count == 0)
        return;
    for (int part = 0; part < COIL_HEAT_PART_COUNT; part++) {
        mean->part_w[part] /= (double)count;
        lost += fmax(mean->part_w[part], 0.0);
    }
    for (int part = 0; part < COIL_HEAT_PART_COUNT && lost > 0.0; part++)
        mean->share[part] = fmax(mean->part_w[part], 0.0) / lost;
    mean->net_w /= (double)count;
    mean->evaporation_kg_per_h /= (double)count;
}

/* The way asked for, then every other cover and wind worth seeing beside it. */
static void list_ways(struct making *m)
{
    struct heat_plan *out = m->out;
    enum db_warm_up_cover cover = m->ask->cover >= 0
                                      ? (enum db_warm_up_cover)m->ask->cover
                                      : heat_cover_of(&m->water);
    enum db_warm_up_cover other =
        cover == DB_WARM_UP_OPEN ? DB_WARM_UP_BUBBLE : DB_WARM_UP_OPEN;
    double wind = out->weather.wind_m_per_s;

    out->ways[out->way_count++] =
        (struct heat_way){.cover = cover, .wind_m_per_s = wind};
    out->ways[out->way_count++] =
        (struct heat_way){.cover = other, .wind_m_per_s = wind};
    if (m->water.indoor)
        return;
    wind = wind > WIND_BREEZY - 0.5 ? WIND_SHELTERED : WIND_BREEZY;
    out->ways[out->way_count++] =
        (struct heat_way){.cover = cover, .wind_m_per_s = wind};
    out->ways[out->way_count++] =
        (struct heat_way){.cover = other, .wind_m_per_s = wind};
}

static enum db_status plan_ways(struct making *m)
{
    const bool is_given =
        !isnan(m->ask->weather.air_low_c) || !isnan(m->ask->weather.air_high_c);
    const double doubt_air_k = is_given ? DOUBT_AIR_GIVEN_K : DOUBT_AIR_ASSUMED_K;
    const struct coil_heat_doubt doubt = {
        .loss_fraction = DOUBT_LOSS,
        .volume_fraction = DOUBT_VOLUME,
        .efficiency = m->out->u_efficiency,
        .temp_k = fmin(DOUBT_TEMP_K + DOUBT_TEMP_K_PER_DAY * m->temp_age_s / DAY_S,
                       m->out->temp_c), /* ice is not looked at */
    };
    const struct coil_fired_heater heater = {m->out->input_w, m->out->efficiency};
    const struct coil_cover cover = heat_cover(m->out->ways[0].cover);
    struct coil_weather weather;

    for (size_t i = m->out->way_count; i-- > 0;) { /* the first last: hours stay its */
        fill_hours(m, m->out->ways[i].wind_m_per_s, doubt_air_k);
        if (!plan_way(m, &m->out->ways[i], doubt))
            return DB_FAILED;
    }
    mean_balance(m);
    weather = hours_of(m, 0);
    if (coil_heat_to_hold_j(&m->pool, &cover, &heater, &weather, m->ask->wanted_temp_c,
                            DAY_S, &m->out->hold_j_per_day) < COIL_OK)
        m->out->hold_j_per_day = NAN;
    return DB_OK;
}

enum db_status heat_tariff(struct db *db, const struct db_heater *heater,
                           const struct db_site *site, struct coil_tariff *out,
                           bool *out_has_price, char out_currency[9])
{
    struct db_tariff tariff;
    enum db_status status = db_tariff_get(db, heater->id, &tariff);

    if (status != DB_OK)
        return status;
    *out_has_price = tariff.version > 0;
    if (tariff.version == 0)
        tariff.unit =
            heater->fuel == DB_PROPANE
                ? (site->us_units ? COIL_FUEL_PROPANE_GAL : COIL_FUEL_PROPANE_LITRE)
            : heater->fuel == DB_NATURAL_GAS
                ? (site->us_units ? COIL_FUEL_THERM : COIL_FUEL_GAS_M3)
                : COIL_FUEL_KWH;
    *out = (struct coil_tariff){tariff.unit,
                                decimal_to_double(tariff.mj_per_unit_e6) * 1e6,
                                decimal_to_double(tariff.price_e6)};
    memcpy(out_currency, tariff.currency, sizeof tariff.currency);
    return DB_OK;
}

static enum db_status read_facts(struct db *db, struct making *m)
{
    struct coil_permit_facts facts;
    enum db_status status = db_permit_facts(db, m->ask->heater_id, m->ask->water_id,
                                            m->ask->now_s, false, &facts);

    if (status == DB_OK)
        status = db_site_get(db, &m->site);
    if (status == DB_OK)
        status = db_water_get(db, m->ask->water_id, &m->water);
    if (status == DB_OK)
        status = db_heater_get(db, m->ask->heater_id, &m->heater);
    if (status == DB_OK)
        status = heat_tariff(db, &m->heater, &m->site, &m->out->tariff,
                             &m->out->has_price, m->out->currency);
    if (status == DB_OK)
        find_temp(m, &facts);
    return status;
}

enum db_status heat_plan_make(struct db *db, const struct heat_ask *ask,
                              struct heat_plan *out)
{
    struct making m = {.ask = ask, .out = out};
    enum db_status status;

    *out = (struct heat_plan){.weather = ask->weather};
    status = read_facts(db, &m);
    if (status != DB_OK)
        return status;
    find_lacks(&m);
    out->assumed_count =
        heat_weather_assume(&out->weather, m.water.indoor, out->assumed);
    out->input_w = decimal_to_double(m.heater.input_w_e6);
    status = find_efficiency(db, &m);
    if (status != DB_OK)
        return status;
    if (out->lack_count > 0 ||
        !heat_pool(&m.water, 0.5 * (out->weather.air_low_c + out->weather.air_high_c),
                   &m.pool))
        return DB_OK;
    if (!m.water.indoor && !m.site.has_place && out->assumed_count < HEAT_LACKS_MAX)
        out->assumed[out->assumed_count++] = "place";
    if (out->assumed_count < HEAT_LACKS_MAX)
        out->assumed[out->assumed_count++] = "altitude"; /* no site tells its own */
    list_ways(&m);
    return plan_ways(&m);
}
