#include "care_due.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "heater_exposure.h"

#define DAY_S INT64_C(86400)
#define YEAR_DAYS 365
#define TASKS_MAX 64

int32_t care_day(const struct zone *zone, int64_t at)
{
    struct civil_time civil;
    int32_t day = 0;

    zone_civil(zone, at, &civil);
    (void)coil_day_from_date((struct coil_date){civil.year, civil.month, civil.day},
                             &day);
    return day;
}

struct coil_season care_season(const struct db_water *water,
                               const struct db_season *own,
                               enum coil_hemisphere hemisphere)
{
    if (own->version > 0)
        return own->season;
    if (water->indoor || water->is_spa)
        return (struct coil_season){.is_year_round = true};
    return coil_season_usual(hemisphere);
}

static enum db_status read_site(struct db *db, struct care_heater *care)
{
    struct db_site site;
    enum db_status status = db_site_get(db, &site);

    if (status != DB_OK)
        return status;
    care->hemisphere_is_assumed = !site.has_place;
    care->hemisphere = site.has_place && site.latitude_e6 < 0 ? COIL_SOUTH : COIL_NORTH;
    if (zone_open(site.version > 0 ? site.zone : "UTC", &care->zone) != ZONE_OK)
        return DB_FAILED;
    care->today = care_day(care->zone, care->now_s);
    return DB_OK;
}

static enum db_status read_hours(struct db *db, struct care_heater *care)
{
    int64_t all_s = 0, year_s = 0;
    enum db_status status =
        db_burner_seconds(db, care->heater.id, 0, care->now_s, &all_s);

    if (status == DB_OK)
        status = db_burner_seconds(db, care->heater.id,
                                   care->now_s - YEAR_DAYS * DAY_S, care->now_s,
                                   &year_s);
    care->burner_h = (double)all_s / 3600;
    care->burner_h_per_day = (double)year_s / 3600 / YEAR_DAYS;
    if (care->burner_h_per_day > 24)
        care->burner_h_per_day = 24;
    return status;
}

enum db_status care_heater_read(struct app *app, struct db *db, int64_t heater_id,
                                struct care_heater *out)
{
    struct db_water water;
    enum db_status status;

    memset(out, 0, sizeof *out);
    out->now_s = clock_wall_s(&app->clock);
    status = db_heater_get(db, heater_id, &out->heater);
    if (status == DB_OK)
        status = db_water_get(db, out->heater.water_ids[0], &water);
    if (status == DB_OK)
        status = db_season_get(db, water.id, &out->own_season);
    if (status == DB_OK)
        status = read_site(db, out);
    if (status == DB_OK)
        status = read_hours(db, out);
    if (status == DB_OK)
        out->season = care_season(&water, &out->own_season, out->hemisphere);
    else
        care_heater_finish(out);
    return status;
}

void care_heater_finish(struct care_heater *care)
{
    zone_close(care->zone);
    care->zone = NULL;
}

/* ---- one task ---- */

/* False for a stored rule that this version does not understand. */
static bool put_rule(const struct care_heater *care, const struct db_care_task *task,
                     struct care_due *out)
{
    out->rule = (struct coil_rule){.interval = 1, .start_day = task->start_day};
    out->has_rule = task->timing <= DB_BY_CALENDAR;
    if (task->timing == DB_BEFORE_SEASON)
        return coil_rule_before_season(&care->season, care->hemisphere, task->lead_days,
                                       task->start_day, &out->rule) == COIL_OK;
    return task->timing != DB_BY_CALENDAR ||
           coil_rule_read(task->rrule, &out->rule) == COIL_OK;
}

/* The newest severe event since the task was done, at most a year back. */
static enum db_status exposed_at(struct db *db, const struct care_heater *care,
                                 int64_t since, int64_t *out_at)
{
    const int64_t year = care->now_s - YEAR_DAYS * DAY_S;
    const struct heater_exposure_wish wish = {.heater_id = care->heater.id,
                                              .water_id = care->heater.water_ids[0],
                                              .from = since > year ? since : year,
                                              .until = care->now_s,
                                              .as_of = care->now_s};
    struct heater_exposure *found;
    enum db_status status = DB_FAILED;

    if (care->now_s - wish.from < 2 * HEATER_EXPOSURE_STEP_S)
        return DB_OK; /* done just now */
    found = malloc(sizeof *found);
    if (found != NULL)
        status = heater_exposure_sum(db, &wish, found);
    for (size_t i = 0; status == DB_OK && i < found->event_count; i++)
        if (found->events[i].is_severe)
            *out_at = (int64_t)found->events[i].until_s;
    if (found != NULL)
        heater_past_finish(&found->past);
    free(found);
    return status;
}

static enum db_status put_event(struct db *db, const struct care_heater *care,
                                const struct db_care_task *task, struct care_due *out)
{
    const int64_t since = out->has_last ? out->last.fact.at : 0;

    if (task->timing != DB_AFTER_EVENT)
        return DB_OK;
    if (task->event == DB_EVENT_EXPOSURE)
        return exposed_at(db, care, since, &out->event_at);
    return db_super_chlorinated_at(db, care->heater.id, care->now_s, &out->event_at);
}

/* Done on the day of the event, but before it: it is still to be done. */
static bool is_before_event(const struct care_due *due)
{
    return due->event_at > 0 && due->last.fact.at < due->event_at;
}

static void put_moved(const struct db_care_task *task, const struct care_due *due,
                      struct coil_task_history *history)
{
    const bool said_since = task->is_moved || task->version > 1;

    if (!due->has_last || (said_since && task->at >= due->last.fact.recorded_at)) {
        history->is_moved = task->is_moved;
        history->moved_day = task->moved_day;
    } else {
        history->is_moved = due->last.has_next_day;
        history->moved_day = due->last.next_day;
    }
}

static enum db_status put_history(struct db *db, const struct care_heater *care,
                                  const struct db_care_task *task, struct care_due *out,
                                  struct coil_task_history *history)
{
    int64_t done_s = 0;
    enum db_status status = DB_OK;

    *history = (struct coil_task_history){
        .is_done = out->has_last && !is_before_event(out),
        .done_day = out->last_day,
        .burner_h_now = care->burner_h,
        .burner_h_per_day = care->burner_h_per_day,
        .has_event = out->event_at > 0,
        .event_day = care_day(care->zone, out->event_at)};
    put_moved(task, out, history);
    if (out->has_last && task->timing == DB_BY_BURNER_HOURS)
        status = db_burner_seconds(db, care->heater.id, 0, out->last.fact.at, &done_s);
    history->burner_h_at_done = (double)done_s / 3600;
    return status;
}

static struct coil_task lib_task(const struct db_care_task *task,
                                 const struct coil_rule *rule)
{
    struct coil_task made = {.kind = COIL_TASK_CALENDAR,
                             .rule = *rule,
                             .every_burner_h = (double)task->every_burner_h_e6 / 1e6,
                             .after_days = task->after_days,
                             .soon_days = task->soon_days,
                             .waits_for_season = task->waits_for_season};

    if (task->timing == DB_BY_BURNER_HOURS)
        made.kind = COIL_TASK_BURNER_HOURS;
    else if (task->timing == DB_AFTER_EVENT)
        made.kind = COIL_TASK_AFTER_EVENT;
    return made;
}

enum db_status care_due_of(struct db *db, const struct care_heater *care,
                           const struct db_care_task *task, struct care_due *out)
{
    struct coil_task_history history;
    struct coil_task made;
    enum db_status status = db_care_visit_last(db, task->id, &out->last);

    out->due = (struct coil_task_due){.state = COIL_DUE_NOTHING};
    out->has_last = status == DB_OK;
    out->last_day = out->has_last ? care_day(care->zone, out->last.fact.at) : 0;
    out->event_at = 0;
    out->is_moved = false;
    if (!put_rule(care, task, out))
        return DB_FAILED;
    if (status == DB_NOT_FOUND || status == DB_OK)
        status = put_event(db, care, task, out);
    if (status == DB_OK)
        status = put_history(db, care, task, out, &history);
    if (status != DB_OK || task->ended)
        return status;
    made = lib_task(task, &out->rule);
    if (coil_task_due(&made, &history, &care->season, care->today, &out->due) != COIL_OK)
        return DB_FAILED;
    out->is_moved = history.is_moved && out->due.state != COIL_DUE_NOTHING;
    return DB_OK;
}

/* ---- the yearly cleaning, for every permit ---- */

#define KEPT_S 600 /* days pass meanwhile: the answer is at most this late */

static struct {
    uint64_t run_id, changes;
    int64_t heater_id, until;
    bool is_overdue;
    int32_t days;
} kept;
static pthread_mutex_t kept_lock = PTHREAD_MUTEX_INITIALIZER;

static enum db_status find_overdue(struct app *app, struct db *db, int64_t heater_id,
                                   bool *out_is_overdue, int32_t *out_days)
{
    struct care_heater care = {0};
    struct db_care_task *tasks = calloc(TASKS_MAX, sizeof *tasks);
    struct care_due *due = calloc(1, sizeof *due);
    size_t count = 0;
    enum db_status status = DB_FAILED;

    *out_is_overdue = false;
    *out_days = 0;
    if (tasks != NULL && due != NULL)
        status = care_heater_read(app, db, heater_id, &care);
    if (status == DB_OK)
        status = db_care_task_list(db, heater_id, tasks, TASKS_MAX, &count);
    for (size_t i = 0; status == DB_OK && i < count; i++) {
        if (!tasks[i].is_cleaning)
            continue;
        status = care_due_of(db, &care, &tasks[i], due);
        if (status == DB_OK && due->due.state == COIL_DUE_OVERDUE) {
            *out_is_overdue = true;
            *out_days = due->due.has_day ? care.today - due->due.due_day : 0;
        }
    }
    care_heater_finish(&care);
    free(tasks);
    free(due);
    return status;
}

enum db_status care_cleaning_overdue(struct app *app, struct db *db, int64_t heater_id,
                                     bool *out_is_overdue, int32_t *out_days)
{
    const uint64_t changes = atomic_load(&app->changes);
    const int64_t now_s = clock_wall_s(&app->clock);
    bool is_kept;
    enum db_status status;

    pthread_mutex_lock(&kept_lock);
    is_kept = kept.run_id == app->run_id && kept.changes == changes &&
              kept.heater_id == heater_id && now_s < kept.until &&
              now_s >= kept.until - KEPT_S;
    *out_is_overdue = kept.is_overdue;
    *out_days = kept.days;
    pthread_mutex_unlock(&kept_lock);
    if (is_kept)
        return DB_OK;
    status = find_overdue(app, db, heater_id, out_is_overdue, out_days);
    if (status != DB_OK)
        return status;
    pthread_mutex_lock(&kept_lock);
    kept.run_id = app->run_id;
    kept.changes = changes;
    kept.heater_id = heater_id;
    kept.until = now_s + KEPT_S;
    kept.is_overdue = *out_is_overdue;
    kept.days = *out_days;
    pthread_mutex_unlock(&kept_lock);
    return DB_OK;
}
