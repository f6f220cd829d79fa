#include "heater_efficiency.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "decimal.h"
#include "zone.h"

#define HOURS_MAX (WARM_UP_MAX_S / 3600 + 1)
#define CHANGES_MAX 100
#define YEAR_S (365 * 86400)
#define HALF_YEAR_S (181 * 86400)
#define MIDDLE_90 1.645

/* Standard uncertainties: conventions of ours, no source. */
#define U_VOLUME 0.05
#define U_FUEL 0.03
#define U_TEMP_K 0.3
#define U_LOSS 0.3
#define U_LOSS_ASSUMED 0.6
#define U_SHARED 0.1 /* when nobody said how much others burn */
#define U_SHARED_SAID 0.05

struct judging {
    struct db *db;
    struct db_site site;
    struct zone *zone;
    struct db_heater heater;
    struct coil_tariff tariff;
    struct db_meter_change changes[CHANGES_MAX]; /* newest first */
    size_t change_count;
    struct heater_efficiency *out;
    enum db_status status;
};

/* ---- one warm-up ---- */

static double known(int64_t value_e6, double scale, double otherwise)
{
    return value_e6 == DB_NOT_KNOWN ? otherwise : decimal_to_double(value_e6) * scale;
}

/* Mean net loss while it ran (W), at the middle temperature. */
static double mean_loss_w(const struct judging *j, const struct db_water *water,
                          const struct db_warm_up *w, bool *out_is_assumed)
{
    static const size_t hour_s = 3600;
    struct coil_pool_weather hours[HOURS_MAX];
    const double air_c = known(w->air_temp_e6, 1.0, water->indoor ? 25.0 : 15.0);
    const struct heat_weather weather = {
        .air_low_c = air_c,
        .air_high_c = air_c,
        .wind_m_per_s = water->indoor ? 0.0 : known(w->wind_e6, 1.0, 1.0),
        .cloud_fraction = water->indoor ? 1.0 : known(w->cloud_percent_e6, 0.01, 0.5),
        .humidity = known(w->humidity_percent_e6, 0.01, 0.6),
    };
    const struct coil_cover cover = heat_cover(w->cover);
    const double middle_c = 0.5 * decimal_to_double(w->start_temp_e6 + w->end_temp_e6);
    size_t count = (size_t)(w->ended_at - w->fact.at) / hour_s + 1;
    struct coil_pool pool;
    double sum = 0.0;

    *out_is_assumed = w->air_temp_e6 == DB_NOT_KNOWN;
    if (!heat_pool(water, air_c, &pool))
        return 0.0; /* without a surface the losses are not counted */
    if (count > HOURS_MAX)
        count = HOURS_MAX;
    heat_weather_hours(&weather, &j->site, water->indoor, w->fact.at, 0.0, hours,
                       count);
    for (size_t i = 0; i < count; i++) {
        struct coil_heat_balance balance = {0};

        if (coil_heat_balance(&pool, &cover, middle_c, &hours[i], &balance) >= COIL_OK)
            sum += balance.net_w;
    }
    return sum / (double)count;
}

static bool has_change(const struct judging *j, const struct db_warm_up *w)
{
    for (size_t i = 0; i < j->change_count; i++)
        if (j->changes[i].what == DB_CHANGED_METER &&
            j->changes[i].fact.at > w->fact.at && j->changes[i].fact.at <= w->ended_at)
            return true;
    return false;
}

/* Gross heat of the meter's unit: its own, the tariff's, the usual one. */
static double unit_j(const struct judging *j, const struct db_warm_up *w)
{
    double usual = 0.0;

    if (w->mj_per_unit_e6 != DB_NOT_KNOWN)
        return decimal_to_double(w->mj_per_unit_e6) * 1e6;
    if (w->unit == j->tariff.unit && j->tariff.j_per_unit > 0.0)
        return j->tariff.j_per_unit;
    coil_fuel_unit_j(w->unit, &usual);
    return usual;
}

static struct coil_warm_up_log log_of(const struct judging *j,
                                      const struct db_water *water,
                                      const struct db_heater *heater,
                                      const struct db_warm_up *w, bool *out_is_assumed)
{
    struct coil_warm_up_log log = {
        .start_temp_c = decimal_to_double(w->start_temp_e6),
        .end_temp_c = decimal_to_double(w->end_temp_e6),
        .duration_s = (double)(w->ended_at - w->fact.at),
        .source = w->source,
        .probe_in_sun = w->probe_in_sun,
        .is_condensing = w->is_condensing,
    };

    log.loss_w = log.duration_s > 0.0 ? mean_loss_w(j, water, w, out_is_assumed) : 0.0;
    if (w->source == COIL_FUEL_BY_BURNER_HOURS) {
        log.burner_h = decimal_to_double(w->burner_h_e6);
        log.rated_input_w = decimal_to_double(heater->input_w_e6);
        return log;
    }
    log.meter_start = decimal_to_double(w->meter_start_e6);
    log.meter_end = decimal_to_double(w->meter_end_e6);
    log.meter_step = known(w->meter_step_e6, 1.0, 0.0);
    log.j_per_unit = unit_j(j, w);
    log.meter_was_replaced = has_change(j, w);
    if (w->is_shared) {
        log.shared_fraction = decimal_to_double(w->shared_percent_e6) / 100.0;
        log.u_shared_fraction = log.shared_fraction > 0.0
                                    ? fmax(U_SHARED_SAID, 0.3 * log.shared_fraction)
                                    : U_SHARED;
    }
    return log;
}

/* The year in whose season it lies. */
static int season_of(const struct judging *j, int64_t at)
{
    struct civil_time civil;
    bool is_south = j->site.has_place && j->site.latitude_e6 < 0;

    zone_civil(j->zone, is_south ? at - HALF_YEAR_S : at, &civil);
    return civil.year;
}

static enum db_status judge(const struct judging *j, const struct db_warm_up *w,
                            struct warm_up_said *out)
{
    struct coil_warm_up_doubt doubt = {.u_volume_fraction = U_VOLUME,
                                       .u_fuel_fraction = U_FUEL,
                                       .u_temp_k = U_TEMP_K,
                                       .u_loss_fraction = U_LOSS};
    struct db_water water;
    struct db_heater heater;
    struct coil_warm_up_log log;
    enum db_status status = db_water_get_at(j->db, w->water_id, w->fact.at, &water);

    if (status == DB_OK)
        status = db_heater_get_at(j->db, w->heater_id, w->fact.at, &heater);
    if (status != DB_OK)
        return status;
    *out = (struct warm_up_said){
        .id = w->fact.id, .at = w->fact.at, .season = season_of(j, w->fact.at)};
    if (water.volume_m3_e6 <= 0)
        out->lacks = WARM_UP_LACKS_VOLUME;
    else if (w->source == COIL_FUEL_BY_BURNER_HOURS && heater.input_w_e6 <= 0)
        out->lacks = WARM_UP_LACKS_INPUT;
    if (out->lacks != WARM_UP_LACKS_NOTHING)
        return DB_OK;
    log = log_of(j, &water, &heater, w, &out->weather_is_assumed);
    if (out->weather_is_assumed)
        doubt.u_loss_fraction = U_LOSS_ASSUMED;
    doubt.volume_m3 = decimal_to_double(water.volume_m3_e6);
    coil_warm_up_efficiency(&log, &doubt, &out->result);
    return DB_OK;
}

/* ---- what all need ---- */

static enum db_status open_judging(struct db *db, int64_t heater_id,
                                   struct heater_efficiency *out, struct judging *j)
{
    const struct db_window window = {
        .subject_id = heater_id, .until = INT64_MAX, .limit = CHANGES_MAX};
    enum db_status status = db_heater_get(db, heater_id, &j->heater);

    j->db = db;
    j->out = out;
    if (status == DB_OK)
        status = db_site_get(db, &j->site);
    if (status == DB_OK)
        status = heat_tariff(db, &j->heater, &j->site, &out->tariff, &out->has_price,
                             out->currency);
    if (status == DB_OK)
        status = db_meter_change_list(db, &window, j->changes, &j->change_count);
    j->tariff = out->tariff;
    if (status == DB_OK &&
        zone_open(j->site.version > 0 ? j->site.zone : "UTC", &j->zone) != ZONE_OK)
        return DB_FAILED;
    return status;
}

enum db_status heater_efficiency_judge(struct db *db, const struct db_warm_up *warm_up,
                                       struct warm_up_said *out)
{
    struct heater_efficiency scratch = {0};
    struct judging j = {0};
    enum db_status status = open_judging(db, warm_up->heater_id, &scratch, &j);

    if (status == DB_OK)
        status = judge(&j, warm_up, out);
    zone_close(j.zone);
    return status;
}

/* ---- all of them ---- */

static bool take(void *context, const void *record)
{
    struct judging *j = context;
    struct heater_efficiency *out = j->out;

    if (out->count == COIL_EFFICIENCY_POINTS_MAX) {
        memmove(out->said, out->said + 1, (out->count - 1) * sizeof *out->said);
        out->count--;
        out->is_cut = true;
    }
    j->status = judge(j, record, &out->said[out->count]);
    out->count++;
    return j->status == DB_OK;
}

static double logged_fuel_j(const struct heater_efficiency *out, int64_t now_s)
{
    double sum = 0.0;

    for (size_t i = 0; i < out->count; i++)
        if (out->said[i].at > now_s - YEAR_S)
            sum += out->said[i].result.fuel_j;
    return sum;
}

static void sum_up(struct heater_efficiency *out)
{
    struct coil_efficiency_point *points = calloc(out->count + 1, sizeof *points);
    double u_common = 0.0;
    size_t usable = 0;
    int last;

    out->power = out->now = out->u_now = NAN;
    for (size_t i = 0; points != NULL && i < out->count; i++) {
        const struct warm_up_said *said = &out->said[i];

        if (said->lacks != WARM_UP_LACKS_NOTHING || !said->result.is_usable ||
            said->at < out->series_from)
            continue;
        points[usable++] = (struct coil_efficiency_point){
            said->season, said->result.efficiency_fraction};
        u_common += said->result.u_common;
    }
    out->usable = usable;
    if (usable > 0 &&
        coil_efficiency_trend(points, usable, &out->rule, &out->trend) == COIL_OK)
        out->has_trend = out->trend.seasons > 0;
    free(points);
    if (!out->has_trend)
        return;
    last = out->trend.seasons - 1;
    out->u_common = u_common / (double)usable;
    out->now = out->trend.mean[last];
    out->u_now = MIDDLE_90 * sqrt(out->trend.u_mean[last] * out->trend.u_mean[last] +
                                  out->rule.season_sd * out->rule.season_sd +
                                  out->u_common * out->u_common);
    if (out->trend.seasons >= 2 && out->trend.scatter > 0.0)
        coil_loss_alarm_power(&out->rule, EFFICIENCY_STATED_LOSS, out->trend.seasons,
                              (int)(usable / (size_t)out->trend.seasons),
                              out->trend.scatter, &out->power);
    if (out->trend.is_alarm && out->trend.lost > 0.0)
        coil_loss_fuel_j(out->fuel_j_per_year, fmin(out->now + out->trend.lost, 1.1),
                         out->now, &out->lost_j_per_year);
}

enum db_status heater_efficiency_make(struct db *db, int64_t heater_id, int64_t now_s,
                                      struct heater_efficiency *out)
{
    struct judging j = {0};
    enum db_status status;

    *out = (struct heater_efficiency){.rule = coil_loss_alarm_usual()};
    status = open_judging(db, heater_id, out, &j);
    out->said = calloc(COIL_EFFICIENCY_POINTS_MAX, sizeof *out->said);
    if (out->said == NULL)
        status = DB_FAILED;
    if (status == DB_OK)
        status = db_warm_up_each(db, heater_id, now_s, take, &j);
    if (status == DB_OK)
        status = j.status;
    zone_close(j.zone);
    if (status == DB_OK) {
        out->series_from = j.change_count > 0 ? j.changes[0].fact.at : 0;
        out->fuel_j_per_year = logged_fuel_j(out, now_s);
        sum_up(out);
    }
    return status;
}

void heater_efficiency_finish(struct heater_efficiency *efficiency)
{
    free(efficiency->said);
    efficiency->said = NULL;
}
