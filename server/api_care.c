/* What care is due; the tasks; the season of a water. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "care_due.h"
#include "db_care.h"

#define TASKS_MAX 64
#define HEATERS_MAX 8
/* The yearly cleaning may be put off by this much and come no rarer: thirteen months. */
#define CLEANING_GAP_DAYS 400
#define CLEANING_TURNS 12

static const char *const timings[] = {"before_season", "calendar", "burner_hours",
                                      "after_event", NULL};
static const char *const events[] = {"super_chlorination", "exposure", NULL};
static const char *const due_words[] = {"nothing", "later", "due_soon", "due",
                                        "overdue"};

/* ---- answers ---- */

static cJSON *timing_json(const struct db_care_task *task)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddStringToObject(object, "kind", timings[task->timing]);
    switch (task->timing) {
    case DB_BEFORE_SEASON:
        cJSON_AddNumberToObject(object, "lead_days", task->lead_days);
        break;
    case DB_BY_CALENDAR:
        cJSON_AddStringToObject(object, "rrule", task->rrule);
        api_add_day(object, "start", task->start_day);
        break;
    case DB_BY_BURNER_HOURS:
        api_add_e6(object, "every_burner_h", task->every_burner_h_e6);
        break;
    default:
        cJSON_AddStringToObject(object, "event", events[task->event]);
        cJSON_AddNumberToObject(object, "after_days", task->after_days);
    }
    return object;
}

static cJSON *task_json(const struct db_care_task *task)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("care-task", task->id, task->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "id", (double)task->id);
    cJSON_AddNumberToObject(object, "version", (double)task->version);
    cJSON_AddStringToObject(object, "etag", etag);
    cJSON_AddNumberToObject(object, "changed_at", (double)task->at);
    cJSON_AddNumberToObject(object, "heater", (double)task->heater_id);
    cJSON_AddStringToObject(object, "name", task->name);
    cJSON_AddBoolToObject(object, "stays", task->is_cleaning);
    cJSON_AddItemToObject(object, "timing", timing_json(task));
    cJSON_AddNumberToObject(object, "soon_days", task->soon_days);
    cJSON_AddBoolToObject(object, "waits_for_season", task->waits_for_season);
    api_add_day_or_null(object, "moved_to", task->is_moved, task->moved_day);
    cJSON_AddBoolToObject(object, "ended", task->ended);
    return object;
}

static void add_rounded(cJSON *object, const char *name, double value)
{
    api_add_e6(object, name, decimal_from_double(value) / 10000 * 10000);
}

static void add_due(cJSON *object, const struct care_heater *care,
                    const struct db_care_task *task, const struct care_due *due)
{
    cJSON *one = cJSON_AddObjectToObject(object, "due");

    cJSON_AddStringToObject(one, "state", due_words[due->due.state]);
    api_add_day_or_null(one, "day", due->due.has_day, due->due.due_day);
    if (due->due.has_day)
        cJSON_AddNumberToObject(one, "days_left", due->due.due_day - care->today);
    else
        cJSON_AddNullToObject(one, "days_left");
    cJSON_AddBoolToObject(one, "is_estimate", due->due.is_estimate);
    cJSON_AddBoolToObject(one, "is_moved", due->is_moved);
    if (task->timing == DB_BY_BURNER_HOURS)
        add_rounded(one, "burner_h_left", due->due.burner_h_left);
    else
        cJSON_AddNullToObject(one, "burner_h_left");
    if (!due->has_last) {
        cJSON_AddNullToObject(object, "last");
        return;
    }
    one = cJSON_AddObjectToObject(object, "last");
    cJSON_AddNumberToObject(one, "visit", (double)due->last.fact.id);
    api_add_day(one, "day", due->last_day);
    cJSON_AddStringToObject(one, "outcome", due->last.skipped ? "skipped" : "done");
}

static cJSON *season_json(const struct coil_season *season)
{
    cJSON *object = cJSON_CreateObject();
    char text[24];

    cJSON_AddBoolToObject(object, "year_round", season->is_year_round);
    if (season->is_year_round) {
        cJSON_AddNullToObject(object, "opens");
        cJSON_AddNullToObject(object, "closes");
        return object;
    }
    snprintf(text, sizeof text, "%02d-%02d", season->open_month, season->open_day);
    cJSON_AddStringToObject(object, "opens", text);
    snprintf(text, sizeof text, "%02d-%02d", season->close_month, season->close_day);
    cJSON_AddStringToObject(object, "closes", text);
    return object;
}

static void add_heater(cJSON *array, const struct care_heater *care)
{
    cJSON *object = cJSON_CreateObject(), *season = season_json(&care->season);

    cJSON_AddNumberToObject(object, "heater", (double)care->heater.id);
    cJSON_AddStringToObject(object, "name", care->heater.name);
    cJSON_AddStringToObject(season, "source",
                            care->own_season.version > 0 ? "own" : "usual");
    cJSON_AddBoolToObject(season, "is_open",
                          coil_season_is_open(&care->season, care->today));
    api_add_day(season, "next_opening",
                coil_season_next_opening(&care->season, care->today));
    cJSON_AddItemToObject(object, "season", season);
    add_rounded(object, "burner_h", care->burner_h);
    add_rounded(object, "burner_h_per_day", care->burner_h_per_day);
    cJSON_AddItemToArray(array, object);
}

/* Tasks of one heater with their turns; counts by state. */
static enum db_status add_tasks(struct db *db, const struct care_heater *care,
                                cJSON *array, int counts[])
{
    struct db_care_task *tasks = calloc(TASKS_MAX, sizeof *tasks);
    struct care_due *due = calloc(1, sizeof *due);
    size_t count = 0;
    enum db_status status = DB_FAILED;

    if (tasks != NULL && due != NULL)
        status = db_care_task_list(db, care->heater.id, tasks, TASKS_MAX, &count);
    for (size_t i = 0; status == DB_OK && i < count; i++) {
        cJSON *one;

        if (tasks[i].ended)
            continue;
        status = care_due_of(db, care, &tasks[i], due);
        if (status != DB_OK)
            break;
        one = task_json(&tasks[i]);
        add_due(one, care, &tasks[i], due);
        cJSON_AddItemToArray(array, one);
        counts[due->due.state]++;
    }
    free(tasks);
    free(due);
    return status;
}

static void add_site(cJSON *object, const struct care_heater *care)
{
    if (cJSON_GetObjectItemCaseSensitive(object, "today") != NULL)
        return;
    api_add_day(object, "today", care->today);
    cJSON_AddStringToObject(object, "zone", zone_name(care->zone));
    cJSON_AddStringToObject(object, "hemisphere",
                            care->hemisphere == COIL_SOUTH ? "south" : "north");
    cJSON_AddBoolToObject(object, "hemisphere_is_assumed", care->hemisphere_is_assumed);
}

static bool find_heaters(struct db *db, const struct request *req, struct reply *out,
                         struct db_heater *heaters, size_t *count)
{
    struct problem problem;
    int64_t id = 0;

    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &id);
    if (api_refused(out, &problem))
        return false;
    *count = 1;
    if (id != 0)
        return api_ok(out, db_heater_get(db, id, heaters), "heater");
    if (!api_ok(out, db_heater_list(db, heaters, HEATERS_MAX, count), "heater"))
        return false;
    if (*count == 0)
        api_not_set_up(out);
    return *count > 0;
}

void api_care_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_heater heaters[HEATERS_MAX];
    cJSON *object, *list, *tasks, *sum;
    int counts[COIL_DUE_OVERDUE + 1] = {0};
    size_t count = 0;
    enum db_status status = DB_OK;

    if (!find_heaters(db, req, out, heaters, &count))
        return;
    object = cJSON_CreateObject();
    list = cJSON_CreateArray();
    tasks = cJSON_CreateArray();
    for (size_t i = 0; status == DB_OK && i < count; i++) {
        struct care_heater care;

        status = care_heater_read(app, db, heaters[i].id, &care);
        if (status != DB_OK)
            break;
        add_site(object, &care);
        add_heater(list, &care);
        status = add_tasks(db, &care, tasks, counts);
        care_heater_finish(&care);
    }
    sum = cJSON_AddObjectToObject(object, "counts");
    for (int i = COIL_DUE_SOON; i <= COIL_DUE_OVERDUE; i++)
        cJSON_AddNumberToObject(sum, due_words[i], counts[i]);
    cJSON_AddItemToObject(object, "heaters", list);
    cJSON_AddItemToObject(object, "tasks", tasks);
    if (api_ok(out, status, "heater"))
        api_send(out, 200, object);
    else
        cJSON_Delete(object);
}

/* ---- tasks ---- */

static void read_calendar(struct form *timing, struct db_care_task *task)
{
    struct coil_rule rule = {.interval = 1};

    if (!form_text(timing, "rrule", FORM_REQUIRED, task->rrule, sizeof task->rrule) ||
        !api_form_day(timing, "start", FORM_REQUIRED, &task->start_day))
        return;
    rule.start_day = task->start_day;
    if (coil_rule_read(task->rrule, &rule) != COIL_OK) {
        problem_add(timing->problem, "rrule_invalid", "timing.rrule",
                    "This is no rule of the kind that is understood here, such as "
                    "FREQ=YEARLY or FREQ=MONTHLY;BYDAY=1MO.");
        return;
    }
    coil_rule_write(&rule, task->rrule, sizeof task->rrule);
}

static void read_timing(struct form *form, struct db_care_task *task)
{
    struct form timing;
    int64_t days = DB_CLEANING_LEAD_DAYS;
    int kind = 0, event = 0;

    if (!form_nested(form, "timing", FORM_REQUIRED, &timing))
        return;
    if (form_choice(&timing, "kind", timings, FORM_REQUIRED, &kind)) {
        task->timing = (enum db_timing)kind;
        if (task->timing == DB_BEFORE_SEASON) {
            form_integer(&timing, "lead_days", 0, 180, FORM_OPTIONAL, &days);
            task->lead_days = (int)days;
        } else if (task->timing == DB_BY_CALENDAR) {
            read_calendar(&timing, task);
        } else if (task->timing == DB_BY_BURNER_HOURS) {
            form_e6(&timing, "every_burner_h", 1, 100000, FORM_REQUIRED,
                    &task->every_burner_h_e6);
        } else {
            form_choice(&timing, "event", events, FORM_REQUIRED, &event);
            days = 0;
            form_integer(&timing, "after_days", 0, 3660, FORM_OPTIONAL, &days);
            task->event = (enum db_care_event)event;
            task->after_days = (int)days;
        }
    }
    form_close(&timing);
}

/* True when the rule gives a day at least every thirteen months, for years to come. */
static bool comes_each_year(const struct db_care_task *task, int32_t today)
{
    struct coil_rule rule = {.interval = 1, .start_day = task->start_day};
    int32_t day = today, next;

    if (task->timing == DB_BEFORE_SEASON)
        return true;
    if (task->timing != DB_BY_CALENDAR ||
        coil_rule_read(task->rrule, &rule) != COIL_OK)
        return false;
    for (int i = 0; i < CLEANING_TURNS; i++) {
        if (!coil_rule_after(&rule, day, &next) || next - day > CLEANING_GAP_DAYS)
            return false;
        day = next;
    }
    return true;
}

static void check_cleaning(struct form *form, const struct db_care_task *task,
                           int32_t today)
{
    if (task->ended)
        problem_add(form->problem, "task_stays", "ended",
                    "The yearly cleaning stays. It can be moved to another day.");
    if (!comes_each_year(task, today))
        problem_add(form->problem, "task_stays", "timing",
                    "The yearly cleaning comes every year: before the season, or by a "
                    "rule without an end.");
    if (task->is_moved && task->moved_day - today > CLEANING_GAP_DAYS)
        problem_add(form->problem, "date_range", "moved_to",
                    "The yearly cleaning can be put off by about a year, not more.");
}

static void read_task(struct form *form, struct db_care_task *task, int32_t today)
{
    int64_t soon_days = 14;

    form_text(form, "name", FORM_REQUIRED, task->name, sizeof task->name);
    read_timing(form, task);
    form_integer(form, "soon_days", 0, 366, FORM_OPTIONAL, &soon_days);
    task->soon_days = (int)soon_days;
    form_flag(form, "waits_for_season", FORM_OPTIONAL, &task->waits_for_season);
    task->is_moved = api_form_day(form, "moved_to", FORM_OPTIONAL, &task->moved_day);
    if (task->is_moved && task->moved_day < today)
        problem_add(form->problem, "date_range", "moved_to",
                    "A task can be moved to today or later.");
    form_flag(form, "ended", FORM_OPTIONAL, &task->ended);
    if (task->is_cleaning)
        check_cleaning(form, task, today);
}

static int32_t site_today(struct app *app, struct db *db)
{
    struct db_site site;
    struct zone *zone = NULL;
    int32_t today = (int32_t)(api_now(app) / 86400);

    if (db_site_get(db, &site) == DB_OK &&
        zone_open(site.version > 0 ? site.zone : "UTC", &zone) == ZONE_OK)
        today = care_day(zone, api_now(app));
    zone_close(zone);
    return today;
}

/* Reads the body; answers and returns false when it is refused. old: NULL for a new
 * one, whose heater the body names. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, const struct db_care_task *old,
                      struct db_care_task *task)
{
    struct problem problem;
    struct form form;
    struct db_heater heater;
    int32_t today = site_today(app, db);
    enum db_status actor = DB_OK;

    memset(task, 0, sizeof *task);
    if (old != NULL) {
        *task = (struct db_care_task){.id = old->id,
                                      .heater_id = old->heater_id,
                                      .version = old->version,
                                      .is_cleaning = old->is_cleaning};
        memcpy(task->uid, old->uid, sizeof task->uid);
    }
    task->start_day = old != NULL && old->timing == DB_BEFORE_SEASON ? old->start_day
                                                                     : today;
    task->at = api_now(app);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &task->actor_id);
        if (old == NULL)
            api_form_heater(db, &form, &task->heater_id, &heater);
        read_task(&form, task, today);
    }
    form_close(&form);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

void api_care_tasks_create(struct app *app, struct db *db, const struct request *req,
                           struct reply *out)
{
    struct db_care_task *tasks, task;
    size_t count = 0;

    if (!read_body(app, db, req, out, NULL, &task))
        return;
    tasks = calloc(TASKS_MAX, sizeof *tasks);
    if (tasks == NULL ||
        db_care_task_list(db, task.heater_id, tasks, TASKS_MAX, &count) != DB_OK)
        count = TASKS_MAX;
    free(tasks);
    if (count == TASKS_MAX) {
        reply_refuse(out, 409, "too_many", NULL, "One heater has at most %d tasks.",
                     TASKS_MAX);
        return;
    }
    if (api_ok(out, db_care_task_add(db, &task), "task"))
        config_answer(app, db, req, out, 201, task.actor_id, "care-task", task.id,
                      task.version, NULL, task_json(&task));
}

void api_care_tasks_get(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    struct db_care_task task;

    (void)app;
    if (!api_ok(out, db_care_task_get(db, req->id, &task), "task"))
        return;
    api_send(out, 200, task_json(&task));
    config_etag("care-task", task.id, task.version, out->etag, sizeof out->etag);
}

void api_care_tasks_put(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    struct db_care_task old, task;
    char etag[48];

    if (!api_ok(out, db_care_task_get(db, req->id, &old), "task"))
        return;
    config_etag("care-task", old.id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, task_json(&old)) ||
        !read_body(app, db, req, out, &old, &task))
        return;
    if (api_ok(out, db_care_task_put(db, &task), "task"))
        config_answer(app, db, req, out, 200, task.actor_id, "care-task", task.id,
                      task.version, task_json(&old), task_json(&task));
}

/* ---- seasons ---- */

static cJSON *stored_season_json(const struct db_season *season)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("season", season->water_id, season->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "water", (double)season->water_id);
    cJSON_AddNumberToObject(object, "version", (double)season->version);
    cJSON_AddStringToObject(object, "etag", etag);
    api_add_id_or_null(object, "changed_at", season->at);
    if (season->version == 0)
        cJSON_AddNullToObject(object, "season");
    else
        cJSON_AddItemToObject(object, "season", season_json(&season->season));
    return object;
}

void api_season_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_season season;

    (void)app;
    if (!api_ok(out, db_season_get(db, req->id, &season), "water"))
        return;
    api_send(out, 200, stored_season_json(&season));
    config_etag("season", season.water_id, season.version, out->etag, sizeof out->etag);
}

/* "05-01". */
static void read_month_day(struct form *form, const char *member, int *month, int *day)
{
    char text[8] = "";

    if (!form_text(form, member, FORM_REQUIRED, text, sizeof text))
        return;
    if (strlen(text) != 5 || strspn(text, "0123456789") != 2 || text[2] != '-' ||
        strspn(text + 3, "0123456789") != 2 || sscanf(text, "%2d-%2d", month, day) != 2 ||
        *day < 1 || *day > coil_month_length(2000, *month))
        problem_add(form->problem, "date_invalid", member,
                    "There is no such day. Write 05-01 for the first of May.");
}

static void read_season(struct form *form, struct coil_season *season)
{
    size_t faults = form->problem->count;

    form_flag(form, "year_round", FORM_REQUIRED, &season->is_year_round);
    if (season->is_year_round) {
        if (form_member(form, "opens") != NULL || form_member(form, "closes") != NULL)
            problem_add(form->problem, "date_range", "opens",
                        "A pool that is open all year has no opening day.");
        return;
    }
    read_month_day(form, "opens", &season->open_month, &season->open_day);
    read_month_day(form, "closes", &season->close_month, &season->close_day);
    if (form->problem->count == faults && coil_season_check(season) != COIL_OK)
        problem_add(form->problem, "date_range", "closes",
                    "The pool cannot close on the day it opens.");
}

void api_season_put(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_season old, season = {.at = api_now(app)};
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;
    char etag[48];

    if (!api_ok(out, db_season_get(db, req->id, &old), "water"))
        return;
    config_etag("season", old.water_id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, stored_season_json(&old)))
        return;
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &season.actor_id);
        read_season(&form, &season.season);
    }
    form_close(&form);
    if (api_refused(out, &problem) || !api_ok(out, actor, "person"))
        return;
    season.water_id = old.water_id;
    season.version = old.version;
    if (api_ok(out, db_season_put(db, &season), "water"))
        config_answer(app, db, req, out, 200, season.actor_id, "season", season.water_id,
                      season.version, stored_season_json(&old),
                      stored_season_json(&season));
}
