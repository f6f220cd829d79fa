/* Limits over time, days in the band, super-chlorinations with the times off line, and
 * who logged what. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api_config.h"
#include "care_due.h"
#include "db_care.h"
#include "record_json.h"
#include "super_words.h"

#define VERSIONS_MAX 200
#define STATES_MAX 500
#define PLANS_MAX 100
#define PAGE 100
#define MONTHS_MAX 1200

/* ---- limits ---- */

cJSON *record_limits(const struct record_wish *wish, enum db_status *out_status)
{
    struct db_heater *versions = calloc(VERSIONS_MAX, sizeof *versions);
    cJSON *array = cJSON_CreateArray();
    size_t count = 0;

    *out_status = versions == NULL ? DB_FAILED
                                   : db_heater_versions(wish->db, wish->heater.id,
                                                        versions, VERSIONS_MAX, &count);
    for (size_t i = 0; i < count; i++) {
        bool is_over = i + 1 < count && versions[i + 1].at <= wish->from;
        cJSON *one;

        if (is_over || (i > 0 && versions[i].at >= wish->until))
            continue;
        one = cJSON_CreateObject();
        cJSON_AddNumberToObject(one, "from", (double)versions[i].at);
        cJSON_AddItemToObject(one, "limits", config_limits_json(versions[i].limits));
        cJSON_AddItemToArray(array, one);
    }
    free(versions);
    return array;
}

/* ---- days in the band ---- */

struct month {
    int year, month; /* 0: none yet */
    int days_tested, days_in_band;
};

struct band {
    const struct record_wish *wish;
    struct db_heater *versions;
    size_t version_count;
    enum coil_sanitiser sanitiser;
    struct month *months;
    size_t month_count;
    int32_t day;
    bool has_day, day_is_good;
};

static const struct db_heater *version_at(const struct band *band, int64_t at)
{
    size_t i = band->version_count - 1;

    while (i > 0 && band->versions[i].at > at)
        i--;
    return &band->versions[i];
}

/* -1: says nothing about the band; 0: outside; 1: inside. */
static int judge(const struct band *band, const struct db_reading *reading)
{
    const struct coil_limit *limits = version_at(band, reading->fact.at)->limits;
    int good = -1;

    for (size_t i = 0; i < reading->value_count; i++) {
        const struct db_value *value = &reading->values[i];
        double amount = (double)value->amount_e6 / 1e6;
        bool is_outside;

        if (value->quantity == COIL_PH)
            is_outside = (limits[COIL_LIMIT_PH_LOW].is_set &&
                          amount < limits[COIL_LIMIT_PH_LOW].value) ||
                         (limits[COIL_LIMIT_PH_HIGH].is_set &&
                          amount > limits[COIL_LIMIT_PH_HIGH].value);
        else if (value->quantity == COIL_FREE_CHLORINE &&
                 band->sanitiser != COIL_SANITISER_BROMINE)
            is_outside = limits[COIL_LIMIT_FREE_CHLORINE_HIGH].is_set &&
                         amount > limits[COIL_LIMIT_FREE_CHLORINE_HIGH].value;
        else if (value->quantity == COIL_BROMINE)
            is_outside = limits[COIL_LIMIT_BROMINE_HIGH].is_set &&
                         amount > limits[COIL_LIMIT_BROMINE_HIGH].value;
        else
            continue;
        good = good != 0 && !is_outside;
    }
    return good;
}

static void close_day(struct band *band)
{
    struct coil_date date = coil_date_from_day(band->day);
    struct month *last = band->month_count > 0 ? &band->months[band->month_count - 1]
                                               : NULL;

    if (!band->has_day)
        return;
    band->has_day = false;
    if (last == NULL || last->year != date.year || last->month != date.month) {
        if (band->month_count == MONTHS_MAX)
            return;
        last = &band->months[band->month_count++];
        *last = (struct month){.year = date.year, .month = date.month};
    }
    last->days_tested++;
    last->days_in_band += band->day_is_good;
}

static void take_reading(struct band *band, const struct db_reading *reading)
{
    int good = judge(band, reading);
    int32_t day;

    if (good < 0)
        return;
    day = care_day(band->wish->zone, reading->fact.at);
    if (band->has_day && day != band->day)
        close_day(band);
    if (!band->has_day) {
        band->has_day = band->day_is_good = true;
        band->day = day;
    }
    band->day_is_good = band->day_is_good && good == 1;
}

static enum db_status take_readings(struct band *band)
{
    const struct record_wish *wish = band->wish;
    struct db_page page = {.subject_id = wish->water_id,
                           .from = wish->from,
                           .until = wish->until,
                           .after_at = wish->from - 1,
                           .after_id = INT64_MAX,
                           .limit = PAGE};
    struct db_reading *readings = calloc(PAGE, sizeof *readings);
    enum db_status status = readings == NULL
                                ? DB_FAILED
                                : db_reading_newest_id(wish->db, &page.newest_id);
    size_t count = PAGE;

    while (status == DB_OK && count == PAGE) {
        status = db_reading_page(wish->db, &page, readings, &count);
        for (size_t i = 0; status == DB_OK && i < count; i++)
            take_reading(band, &readings[i]);
        if (count > 0) {
            page.after_at = readings[count - 1].fact.at;
            page.after_id = readings[count - 1].fact.id;
        }
    }
    free(readings);
    close_day(band);
    return status;
}

static cJSON *months_json(const struct band *band)
{
    cJSON *array = cJSON_CreateArray();

    for (size_t i = 0; i < band->month_count; i++) {
        const struct month *month = &band->months[i];
        cJSON *one = cJSON_CreateObject();
        char text[24];

        snprintf(text, sizeof text, "%04d-%02d", month->year, month->month);
        cJSON_AddStringToObject(one, "month", text);
        cJSON_AddNumberToObject(one, "days", coil_month_length(month->year, month->month));
        cJSON_AddNumberToObject(one, "days_tested", month->days_tested);
        cJSON_AddNumberToObject(one, "days_in_band", month->days_in_band);
        api_add_e6(one, "percent",
                   (int64_t)month->days_in_band * 1000 / month->days_tested * 100000);
        cJSON_AddItemToArray(array, one);
    }
    return array;
}

cJSON *record_band(const struct record_wish *wish, enum db_status *out_status)
{
    struct band band = {.wish = wish};
    struct db_water water;
    cJSON *array = NULL;

    band.versions = calloc(VERSIONS_MAX, sizeof *band.versions);
    band.months = calloc(MONTHS_MAX, sizeof *band.months);
    *out_status = band.versions == NULL || band.months == NULL
                      ? DB_FAILED
                      : db_water_get(wish->db, wish->water_id, &water);
    if (*out_status == DB_OK)
        *out_status = db_heater_versions(wish->db, wish->heater.id, band.versions,
                                         VERSIONS_MAX, &band.version_count);
    if (*out_status == DB_OK) {
        band.sanitiser = water.sanitiser;
        *out_status = take_readings(&band);
    }
    if (*out_status == DB_OK)
        array = months_json(&band);
    free(band.versions);
    free(band.months);
    return array;
}

/* ---- super-chlorinations ---- */

/* Spans of [from, until] in which the heater was not in line; states newest first. */
static void add_off_line(cJSON *object, const struct db_heater_state *states,
                         size_t count, int64_t from, int64_t until)
{
    cJSON *array = cJSON_AddArrayToObject(object, "off_line");

    for (size_t i = count; i-- > 0;) {
        int64_t start = states[i].fact.at > from ? states[i].fact.at : from;
        int64_t end = i > 0 && states[i - 1].fact.at < until ? states[i - 1].fact.at
                                                             : until;
        cJSON *one;

        if (states[i].state == COIL_HEATER_IN_LINE || start >= end)
            continue;
        one = cJSON_CreateObject();
        cJSON_AddNumberToObject(one, "from", (double)start);
        cJSON_AddNumberToObject(one, "until", (double)end);
        cJSON_AddStringToObject(one, "state", coil_heater_state_key(states[i].state));
        cJSON_AddItemToArray(array, one);
    }
}

static cJSON *plan_json(const struct db_plan *plan, const struct record_wish *wish,
                        const struct db_heater_state *states, size_t state_count)
{
    const bool is_over = plan->state >= DB_PLAN_CONFIRMED_BACK;
    const int64_t end =
        is_over ? plan->events[plan->event_count - 1].at : wish->until;
    cJSON *one = cJSON_CreateObject();

    cJSON_AddNumberToObject(one, "id", (double)plan->id);
    cJSON_AddNumberToObject(one, "from", (double)plan->at);
    api_add_id_or_null(one, "until", is_over ? end : 0);
    cJSON_AddStringToObject(one, "state", super_state_key(plan->state));
    cJSON_AddStringToObject(one, "by", plan->actor);
    add_off_line(one, states, state_count, plan->at, end);
    return one;
}

/* Doses marked as one without a plan count too: households do not always plan. */
static enum db_status add_doses(const struct record_wish *wish, cJSON *array,
                                const struct db_heater_state *states, size_t count)
{
    struct db_page page = {.subject_id = wish->water_id,
                           .from = wish->from,
                           .until = wish->until,
                           .after_at = wish->from - 1,
                           .after_id = INT64_MAX,
                           .limit = PAGE};
    struct db_dose *doses = calloc(PAGE, sizeof *doses);
    enum db_status status =
        doses == NULL ? DB_FAILED : db_dose_newest_id(wish->db, &page.newest_id);
    size_t got = PAGE;

    while (status == DB_OK && got == PAGE) {
        status = db_dose_page(wish->db, &page, doses, &got);
        for (size_t i = 0; status == DB_OK && i < got; i++) {
            cJSON *one;

            page.after_at = doses[i].fact.at;
            page.after_id = doses[i].fact.id;
            if (!doses[i].super_chlorination)
                continue;
            one = cJSON_CreateObject();
            cJSON_AddNullToObject(one, "id");
            cJSON_AddNumberToObject(one, "from", (double)doses[i].fact.at);
            cJSON_AddNullToObject(one, "until");
            cJSON_AddStringToObject(one, "state", "dosed");
            cJSON_AddStringToObject(one, "by", doses[i].fact.actor);
            add_off_line(one, states, count, doses[i].fact.at,
                         doses[i].fact.at + 3 * 86400);
            cJSON_AddItemToArray(array, one);
        }
    }
    free(doses);
    return status;
}

cJSON *record_super(const struct record_wish *wish, enum db_status *out_status)
{
    const struct db_window window = {.subject_id = wish->heater.id,
                                     .from = 0,
                                     .until = wish->until,
                                     .limit = STATES_MAX};
    struct db_heater_state *states = calloc(STATES_MAX, sizeof *states);
    struct db_plan *plan = calloc(1, sizeof *plan);
    cJSON *array = cJSON_CreateArray();
    int64_t ids[PLANS_MAX];
    size_t count = 0, plans = 0;

    *out_status = states == NULL || plan == NULL
                      ? DB_FAILED
                      : db_heater_state_list(wish->db, &window, states, &count);
    if (*out_status == DB_OK)
        *out_status = db_plan_list(wish->db, wish->water_id, wish->from, wish->until, ids,
                                   PLANS_MAX, &plans);
    for (size_t i = plans; *out_status == DB_OK && i-- > 0;) {
        *out_status = db_plan_get(wish->db, ids[i], plan, NULL);
        if (*out_status == DB_OK)
            cJSON_AddItemToArray(array, plan_json(plan, wish, states, count));
    }
    if (*out_status == DB_OK && plans == 0)
        *out_status = add_doses(wish, array, states, count);
    free(states);
    free(plan);
    return array;
}

/* ---- who logged what ---- */

#define NAMES_MAX 200

cJSON *record_people(const struct record_wish *wish, enum db_status *out_status)
{
    struct db_logged *rows = calloc(NAMES_MAX, sizeof *rows);
    cJSON *array = cJSON_CreateArray();
    size_t count = 0;

    *out_status =
        rows == NULL ? DB_FAILED
                     : db_logged_by(wish->db, wish->heater.id, wish->water_id,
                                    wish->from, wish->until, rows, NAMES_MAX, &count);
    for (size_t i = 0; i < count; i++) {
        cJSON *one = cJSON_CreateObject();

        cJSON_AddStringToObject(one, "by", rows[i].name);
        cJSON_AddStringToObject(one, "what", rows[i].what);
        cJSON_AddNumberToObject(one, "count", (double)rows[i].count);
        cJSON_AddItemToArray(array, one);
    }
    free(rows);
    return array;
}
