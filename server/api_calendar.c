/*
 * The care tasks as a calendar to subscribe to. Calendar programs send no headers, so the
 * address itself holds a token of scope calendar:read; once that is revoked the address
 * leads nowhere.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "care_due.h"
#include "db_people.h"
#include "ics.h"

#define HEATERS_MAX 8
#define TASKS_MAX 64
#define CANCELLED_S (INT64_C(30) * 86400) /* an ended task is called off that long */

static const char before[] = "/calendar/", after[] = ".ics";

static bool is_allowed(struct db *db, const char *path)
{
    const size_t around = sizeof before - 1 + sizeof after - 1;
    uint8_t hash[SECRET_SHA_BYTES];
    char token[SECRET_TOKEN_SIZE];
    struct db_token found;
    size_t length = strlen(path);

    if (length <= around || length - around >= sizeof token)
        return false;
    memcpy(token, path + sizeof before - 1, length - around);
    token[length - around] = '\0';
    if (!secret_is_token(token))
        return false;
    secret_sha(token, hash);
    return db_token_find(db, hash, &found) == DB_OK && found.revoked_at == 0 &&
           found.scope == SCOPE_CALENDAR;
}

/* When the entry last changed, and how often: both grow with every change of the task,
 * its visits, its season or the event it waits for. */
static enum db_status put_change(struct db *db, const struct care_heater *care,
                                 const struct db_care_task *task,
                                 const struct care_due *due, struct ics *ics)
{
    int64_t visits = 0, sequence, at = task->at;
    enum db_status status = db_care_visit_changes(db, task->id, &visits);

    sequence = task->version - 1 + visits + care->own_season.version;
    if (due->has_last && due->last.fact.recorded_at > at)
        at = due->last.fact.recorded_at;
    if (care->own_season.at > at)
        at = care->own_season.at;
    if (due->event_at > 0) {
        sequence += due->event_at / 86400;
        at = due->event_at > at ? due->event_at : at;
    }
    if (due->due.is_estimate) { /* moves with the hours of each day */
        sequence += care->today;
        at = care->today * INT64_C(86400);
    }
    ics_instant(ics, "DTSTAMP", at);
    ics_instant(ics, "LAST-MODIFIED", at);
    ics_number(ics, "SEQUENCE", sequence);
    return status;
}

/* Only where the day that is due starts the rule's own series. */
static bool repeats(const struct db_care_task *task, const struct care_due *due)
{
    int32_t day;

    return due->has_rule && !due->is_moved && !task->waits_for_season &&
           due->rule.count == 0 && coil_rule_before(&due->rule, due->due.due_day, &day) &&
           day == due->due.due_day;
}

static enum db_status put_task(struct db *db, const struct care_heater *care,
                               const struct db_care_task *task,
                               const struct care_due *due, struct ics *ics)
{
    char day[9], rule[COIL_RULE_TEXT_SIZE], summary[2 * DB_NAME_SIZE + 4];
    enum db_status status;

    coil_day_write(task->ended ? care_day(care->zone, task->at) : due->due.due_day, day);
    snprintf(summary, sizeof summary, "%s: %s", care->heater.name, task->name);
    ics_line(ics, "BEGIN", "VEVENT");
    ics_line(ics, "UID", task->uid);
    status = put_change(db, care, task, due, ics);
    ics_line(ics, "DTSTART;VALUE=DATE", day);
    if (!task->ended && repeats(task, due)) {
        coil_rule_write(&due->rule, rule, sizeof rule);
        ics_line(ics, "RRULE", rule);
    }
    ics_text(ics, "SUMMARY", summary);
    ics_line(ics, "STATUS", task->ended ? "CANCELLED" : "CONFIRMED");
    ics_line(ics, "TRANSP", "TRANSPARENT");
    ics_line(ics, "END", "VEVENT");
    return status;
}

static enum db_status put_heater(struct db *db, const struct care_heater *care,
                                 struct ics *ics)
{
    struct db_care_task *tasks = calloc(TASKS_MAX, sizeof *tasks);
    struct care_due *due = calloc(1, sizeof *due);
    size_t count = 0;
    enum db_status status = DB_FAILED;

    if (tasks != NULL && due != NULL)
        status = db_care_task_list(db, care->heater.id, tasks, TASKS_MAX, &count);
    for (size_t i = 0; status == DB_OK && i < count; i++) {
        if (tasks[i].ended && care->now_s - tasks[i].at > CANCELLED_S)
            continue;
        status = care_due_of(db, care, &tasks[i], due);
        if (status == DB_OK && (tasks[i].ended || due->due.has_day))
            status = put_task(db, care, &tasks[i], due, ics);
    }
    free(tasks);
    free(due);
    return status;
}

static void put_head(const struct db_site *site, struct ics *ics)
{
    char name[DB_NAME_SIZE + 32];

    snprintf(name, sizeof name, "Heater care%s%s", site->name[0] == '\0' ? "" : ", ",
             site->name);
    ics_line(ics, "BEGIN", "VCALENDAR");
    ics_line(ics, "VERSION", "2.0");
    ics_line(ics, "PRODID", "-//Coilkeep//Care//EN");
    ics_line(ics, "CALSCALE", "GREGORIAN");
    ics_text(ics, "NAME", name);
    ics_text(ics, "X-WR-CALNAME", name);
    ics_line(ics, "X-WR-TIMEZONE", site->version > 0 ? site->zone : "UTC");
    ics_line(ics, "REFRESH-INTERVAL;VALUE=DURATION", "PT6H");
    ics_line(ics, "X-PUBLISHED-TTL", "PT6H");
}

static enum db_status make(struct app *app, struct db *db, struct ics *ics)
{
    struct db_heater heaters[HEATERS_MAX];
    struct db_site site;
    size_t count = 0;
    enum db_status status = db_site_get(db, &site);

    if (status == DB_OK)
        status = db_heater_list(db, heaters, HEATERS_MAX, &count);
    if (status == DB_OK)
        put_head(&site, ics);
    for (size_t i = 0; status == DB_OK && i < count; i++) {
        struct care_heater care;

        status = care_heater_read(app, db, heaters[i].id, &care);
        if (status != DB_OK)
            break;
        status = put_heater(db, &care, ics);
        care_heater_finish(&care);
    }
    ics_line(ics, "END", "VCALENDAR");
    return status == DB_OK && ics->failed ? DB_FAILED : status;
}

void api_calendar_get(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    struct ics ics = {0};
    uint8_t hash[SECRET_SHA_BYTES];

    if (!is_allowed(db, req->path)) {
        reply_refuse(out, 404, "not_found", NULL, "There is nothing here.");
        return;
    }
    if (!api_ok(out, make(app, db, &ics), "heater")) {
        free(ics.text);
        return;
    }
    secret_sha(ics.text, hash);
    snprintf(out->etag, sizeof out->etag, "\"calendar-%02x%02x%02x%02x%02x%02x%02x%02x\"",
             hash[0], hash[1], hash[2], hash[3], hash[4], hash[5], hash[6], hash[7]);
    out->status = 200;
    out->content_type = "text/calendar; charset=utf-8";
    out->body = ics.text;
    out->body_length = ics.length;
    out->body_owned = true;
}
