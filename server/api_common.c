#include "api_common.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "db_people.h"
#include "lib/civil.h"
#include "zone.h"

bool api_ok(struct reply *out, enum db_status status, const char *what)
{
    switch (status) {
    case DB_OK:
        return true;
    case DB_NOT_FOUND:
        reply_refuse(out, 404, "not_found", NULL, "There is no such %s.", what);
        return false;
    case DB_CONFLICT:
        reply_refuse(out, 412, "changed_meanwhile", NULL,
                     "Somebody changed this %s meanwhile. Read it again.", what);
        return false;
    case DB_BUSY:
        reply_refuse(out, 503, "busy", NULL, "The store is busy. Try again shortly.");
        out->retry_after_s = 2;
        return false;
    case DB_FULL:
        reply_refuse(out, 507, "disk_full", NULL,
                     "The disk is full or read-only. Nothing was changed.");
        return false;
    default:
        reply_refuse(out, 500, "store_failed", NULL,
                     "The store failed. Nothing was changed; the log says more.");
        return false;
    }
}

bool api_refused(struct reply *out, const struct problem *problem)
{
    if (problem->count == 0)
        return false;
    reply_problem(out, problem);
    return true;
}

bool api_takes_nothing(const struct request *req, struct reply *out)
{
    struct problem problem;
    struct form form;

    problem_init(&problem);
    form_open(&form, req, &problem);
    form_close(&form);
    return !api_refused(out, &problem);
}

void api_send(struct reply *out, int status, cJSON *tree)
{
    char *text = tree != NULL ? json_print_and_delete(tree) : NULL;

    if (text == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "The answer did not fit in memory.");
    else
        reply_json(out, status, text);
}

void api_add_e6(cJSON *object, const char *name, int64_t value_e6)
{
    char text[32];

    decimal_write(value_e6, text, sizeof text);
    cJSON_AddRawToObject(object, name, text);
}

void api_add_e6_or_null(cJSON *object, const char *name, int64_t value_e6)
{
    if (value_e6 == 0)
        cJSON_AddNullToObject(object, name);
    else
        api_add_e6(object, name, value_e6);
}

void api_add_id_or_null(cJSON *object, const char *name, int64_t value)
{
    if (value == 0)
        cJSON_AddNullToObject(object, name);
    else
        cJSON_AddNumberToObject(object, name, (double)value);
}

int64_t api_now(const struct app *app)
{
    return clock_wall_s(&app->clock);
}

uint64_t api_changes(struct app *app)
{
    return atomic_load(&app->changes);
}

void api_tag(const struct app *app, struct reply *out, uint64_t changes)
{
    if (out->status == 200)
        snprintf(out->etag, sizeof out->etag, "\"all-%llx-%llu\"",
                 (unsigned long long)app->run_id, (unsigned long long)changes);
}

/* "2026-11-25" and "14:05" or "14:05:30", digits and separators only. */
static bool read_civil(const char *date, const char *time, struct civil_time *out)
{
    int used = 0;

    memset(out, 0, sizeof *out);
    if (strspn(date, "0123456789-") != strlen(date) ||
        sscanf(date, "%4d-%2d-%2d%n", &out->year, &out->month, &out->day, &used) != 3 ||
        date[used] != '\0')
        return false;
    if (strspn(time, "0123456789:") != strlen(time) ||
        sscanf(time, "%2d:%2d%n", &out->hour, &out->minute, &used) != 2)
        return false;
    if (time[used] == '\0')
        return true;
    time += used;
    return sscanf(time, ":%2d%n", &out->second, &used) == 1 && time[used] == '\0';
}

static void offer_choices(struct problem *problem, const struct zone *zone,
                          int64_t first, int64_t second)
{
    snprintf(problem->extra_json, sizeof problem->extra_json,
             "\"choices\":[{\"fold\":\"first\",\"at\":%lld,\"offset_s\":%d},"
             "{\"fold\":\"second\",\"at\":%lld,\"offset_s\":%d}]",
             (long long)first, zone_offset_s(zone, first), (long long)second,
             zone_offset_s(zone, second));
}

static int64_t civil_instant(struct problem *problem, const struct zone *zone,
                             const char *field, const struct civil_time *civil,
                             enum zone_fold fold)
{
    int64_t first = 0, second = 0;

    switch (zone_instant(zone, civil, fold, &first, &second)) {
    case ZONE_OK:
        return first;
    case ZONE_TWICE:
        problem_add(problem, "time_twice", field,
                    "That time happens twice that night: clocks go back. Which one?");
        offer_choices(problem, zone, first, second);
        return 0;
    case ZONE_SKIPPED:
        problem_add(problem, "time_skipped", field,
                    "That time does not exist: clocks go forward over it.");
        return 0;
    default:
        problem_add(problem, "time_invalid", field,
                    "That is no date and time. Write 2026-11-25 and 14:05.");
        return 0;
    }
}

static int64_t local_instant(struct db *db, struct form *form, const char *local)
{
    static const char *const folds[] = {"first", "second", NULL};
    struct form child;
    struct db_site site;
    struct zone *zone = NULL;
    struct civil_time civil;
    char date[24] = "", time[24] = "";
    int fold = -1;
    int64_t at = 0;
    size_t faults = form->problem->count;

    if (!form_nested(form, local, FORM_OPTIONAL, &child))
        return 0;
    form_text(&child, "date", FORM_REQUIRED, date, sizeof date);
    form_text(&child, "time", FORM_REQUIRED, time, sizeof time);
    form_choice(&child, "fold", folds, FORM_OPTIONAL, &fold);
    form_close(&child);
    if (form->problem->count != faults)
        return 0;
    if (db_site_get(db, &site) != DB_OK ||
        zone_open(site.version > 0 ? site.zone : "UTC", &zone) != ZONE_OK)
        problem_add(form->problem, "zone_unknown", local,
                    "The site's time zone cannot be read.");
    else if (!read_civil(date, time, &civil))
        problem_add(form->problem, "time_invalid", local,
                    "That is no date and time. Write 2026-11-25 and 14:05.");
    else
        at = civil_instant(form->problem, zone, local, &civil,
                           fold < 0    ? ZONE_FOLD_UNSAID
                           : fold == 0 ? ZONE_FOLD_FIRST
                                       : ZONE_FOLD_SECOND);
    zone_close(zone);
    return at;
}

int64_t api_instant(struct app *app, struct db *db, struct form *form, const char *at,
                    const char *local)
{
    int64_t now = api_now(app), instant = 0;
    size_t faults = form->problem->count;
    bool has_at =
        form_integer(form, at, INT64_MIN / 2, INT64_MAX / 2, FORM_OPTIONAL, &instant);
    bool has_local = form_member(form, local) != NULL;

    if (has_at && has_local)
        problem_add(form->problem, "time_twice_given", at,
                    "Give the time once: as %s or as %s.", at, local);
    else if (has_local)
        instant = local_instant(db, form, local);
    if (form->problem->count != faults)
        return 0;
    if (!has_at && !has_local)
        return now;
    if (instant > now + API_FUTURE_S)
        problem_add(form->problem, "time_in_future", has_at ? at : local,
                    "The time must be today or in the past.");
    else if (instant < 0)
        problem_add(form->problem, "time_too_old", has_at ? at : local,
                    "The time must be after 1 January 1970.");
    return instant;
}

enum db_status api_actor(struct db *db, struct form *form, int64_t *out_actor_id)
{
    char name[DB_NAME_SIZE] = "this machine";

    form_text(form, "by", FORM_OPTIONAL, name, sizeof name);
    if (db_acting(db) != 0) { /* known by login or token: nobody writes for another */
        *out_actor_id = db_acting(db);
        return DB_OK;
    }
    return db_actor(db, name, out_actor_id);
}

bool api_form_heater(struct db *db, struct form *form, int64_t *out_id,
                     struct db_heater *out_heater)
{
    if (!form_integer(form, "heater", 1, INT64_MAX / 2, FORM_REQUIRED, out_id))
        return false;
    if (db_heater_get(db, *out_id, out_heater) == DB_OK)
        return true;
    problem_add(form->problem, "not_found", "heater", "There is no such heater.");
    return false;
}

bool api_form_day(struct form *form, const char *member, enum form_need need,
                  int32_t *out_day)
{
    char text[16] = "", field[64];
    struct coil_date date;
    int used = 0;

    if (!form_text(form, member, need, text, sizeof text))
        return false;
    if (strlen(text) == 10 && strspn(text, "0123456789-") == 10 &&
        sscanf(text, "%4d-%2d-%2d%n", &date.year, &date.month, &date.day, &used) == 3 &&
        used == 10 && coil_day_from_date(date, out_day) == COIL_OK)
        return true;
    snprintf(field, sizeof field, "%s%s", form->prefix, member);
    problem_add(form->problem, "date_invalid", field,
                "There is no such day. Write 2027-04-01.");
    return false;
}

void api_add_day(cJSON *object, const char *name, int32_t day)
{
    struct coil_date date = coil_date_from_day(day);
    char text[40];

    snprintf(text, sizeof text, "%04d-%02d-%02d", date.year, date.month, date.day);
    cJSON_AddStringToObject(object, name, text);
}

void api_add_day_or_null(cJSON *object, const char *name, bool is_known, int32_t day)
{
    if (is_known)
        api_add_day(object, name, day);
    else
        cJSON_AddNullToObject(object, name);
}

bool api_matches(const struct request *req, struct reply *out, const char *etag,
                 cJSON *current)
{
    struct problem problem;
    char *text;

    if (req->if_match != NULL && strcmp(req->if_match, etag) == 0) {
        cJSON_Delete(current);
        return true;
    }
    problem_init(&problem);
    problem.status = 412;
    problem_add(&problem, "changed_meanwhile", NULL,
                "Somebody changed this meanwhile. Look at it again before you save.");
    text = current != NULL ? json_print_and_delete(current) : NULL;
    if (text != NULL && strlen(text) + 16 < sizeof problem.extra_json)
        snprintf(problem.extra_json, sizeof problem.extra_json, "\"current\":%s", text);
    free(text);
    reply_problem(out, &problem);
    return false;
}

bool api_query_integer(const struct request *req, struct problem *problem,
                       const char *name, int64_t low, int64_t high, int64_t *out_value)
{
    const char *text = request_query(req, name);
    char *end = NULL;
    long long value;

    if (text == NULL)
        return false;
    value = strtoll(text, &end, 10);
    if (end == text || *end != '\0' || strspn(text, "-0123456789") != strlen(text) ||
        value < low || value > high) {
        problem_add(problem, "query_invalid", name,
                    "%s must be a whole number from %lld to %lld.", name,
                    (long long)low, (long long)high);
        return false;
    }
    *out_value = value;
    return true;
}

bool api_query_number(const struct request *req, struct problem *problem,
                      const char *name, double low, double high, double *out_value)
{
    const char *text = request_query(req, name);
    int64_t value_e6 = 0;

    if (text == NULL)
        return false;
    if (decimal_read(text, strlen(text), '.', &value_e6) != DECIMAL_OK ||
        decimal_to_double(value_e6) < low || decimal_to_double(value_e6) > high) {
        problem_add(problem, "query_invalid", name, "%s must be a number from %g to %g.",
                    name, low, high);
        return false;
    }
    *out_value = decimal_to_double(value_e6);
    return true;
}

int api_query_choice(const struct request *req, struct problem *problem,
                     const char *name, const char *const *names, int otherwise)
{
    const char *text = request_query(req, name);
    int i;

    if (text == NULL)
        return otherwise;
    for (i = 0; names[i] != NULL; i++)
        if (strcmp(names[i], text) == 0)
            return i;
    problem_add(problem, "query_invalid", name, "%s is none of the known words.", name);
    return otherwise;
}

bool api_query_flag(const struct request *req, struct problem *problem,
                    const char *name, bool *out_value)
{
    static const char *const names[] = {"false", "true", NULL};
    int index = api_query_choice(req, problem, name, names, -1);

    if (index < 0)
        return false;
    *out_value = index == 1;
    return true;
}

void api_check_pair(struct problem *problem, int64_t heater_id, int64_t water_id)
{
    if ((heater_id == 0) != (water_id == 0))
        problem_add(problem,
                    problem->status == 400 ? "query_missing" : "member_missing",
                    heater_id == 0 ? "heater" : "water",
                    "Name both heater and water, or neither.");
}

void api_not_set_up(struct reply *out)
{
    reply_refuse(out, 409, "not_set_up", NULL,
                 "No heater is set up yet. Setup asks for water and heater.");
}

bool api_main_pair(struct db *db, struct reply *out, int64_t *heater_id,
                   int64_t *water_id)
{
    if (*heater_id != 0 || db_main_pair(db, heater_id, water_id) == DB_OK)
        return true;
    api_not_set_up(out);
    return false;
}

enum db_status api_journal(struct app *app, struct db *db, const struct request *req,
                           int64_t actor_id, const char *action, const char *entity,
                           int64_t id, cJSON *before, cJSON *after)
{
    char *before_text = before != NULL ? json_print_and_delete(before) : NULL;
    char *after_text = after != NULL ? json_print_and_delete(after) : NULL;
    enum db_status status =
        db_journal_add(db, api_now(app), actor_id, req->peer, action, entity, id,
                       before_text, after_text);

    free(before_text);
    free(after_text);
    return status;
}
