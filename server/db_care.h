/*
 * The store's part for the care of heaters: tasks, visits, seasons, and what tasks depend
 * on. Same rules as db.h: facts are append-only, things are versions.
 */
#ifndef DB_CARE_H
#define DB_CARE_H

#include "db.h"
#include "lib/recurrence_text.h"
#include "lib/schedule.h"

/* ---- tasks ---- */

enum db_timing {
    DB_BEFORE_SEASON, /* yearly, lead_days before the pool opens, from start_day on */
    DB_BY_CALENDAR,   /* by rrule from start_day */
    DB_BY_BURNER_HOURS,
    DB_AFTER_EVENT,
    DB_TIMING_COUNT
};

enum db_care_event { DB_EVENT_SUPER_CHLORINATION, DB_EVENT_EXPOSURE, DB_CARE_EVENT_COUNT };

#define DB_UID_SIZE 37
#define DB_CLEANING_NAME "Yearly cleaning and inspection"
#define DB_CLEANING_LEAD_DAYS 30 /* common practice, no source */

struct db_care_task {
    int64_t id, heater_id;
    int64_t version, at, actor_id;
    bool is_cleaning;      /* stays for ever: see lib/schedule.h for when */
    char uid[DB_UID_SIZE]; /* in calendars; filled by the store */
    char name[DB_NAME_SIZE];
    enum db_timing timing;
    char rrule[COIL_RULE_TEXT_SIZE]; /* DB_BY_CALENDAR, else "" */
    int32_t start_day;
    int lead_days;
    int64_t every_burner_h_e6;
    enum db_care_event event;
    int after_days;
    int soon_days;
    bool waits_for_season;
    bool is_moved; /* the turn that was open at `at` */
    int32_t moved_day;
    bool ended; /* no list of what is due holds it */
};

/* Fills id, uid and version. */
enum db_status db_care_task_add(struct db *db, struct db_care_task *task);
/* The yearly cleaning of a new heater, in the open transaction of db_heater_add. */
enum db_status db_care_cleaning_add(struct db *db, int64_t heater_id, int64_t at,
                                    int64_t actor_id);
/* As db_water_put: task->version is the one it was made from. */
enum db_status db_care_task_put(struct db *db, struct db_care_task *task);
enum db_status db_care_task_get(struct db *db, int64_t id, struct db_care_task *out);
/* Newest versions, also ended ones, by id; heater_id 0: of all heaters. */
enum db_status db_care_task_list(struct db *db, int64_t heater_id,
                                 struct db_care_task *out, size_t max,
                                 size_t *out_count);

/* ---- visits ---- */

enum db_visit_kind {
    DB_VISIT_CLEANING, /* and inspection */
    DB_VISIT_INSPECTION,
    DB_VISIT_REPAIR,
    DB_VISIT_OTHER,
    DB_VISIT_KIND_COUNT
};

#define DB_FINDINGS_SIZE 1024
#define DB_CHECKLIST_SIZE 6001

struct db_care_visit {
    struct db_fact fact; /* at = when it was done */
    int64_t heater_id;
    int64_t task_id; /* whose turn it ends, 0 for none */
    enum db_visit_kind kind;
    bool skipped;    /* the turn passes without it */
    bool technician; /* a licensed one did it */
    bool has_may_run; /* the technician said whether the heater may run */
    bool may_run;
    char done_by[DB_NAME_SIZE];
    char findings[DB_FINDINGS_SIZE];
    bool has_cost;
    int64_t cost_e6;
    char currency[4]; /* "EUR"; "" without a cost */
    bool has_next_day;
    int32_t next_day;
    char checklist[DB_CHECKLIST_SIZE]; /* JSON, "{}" when empty */
};

enum db_status db_care_visit_add(struct db *db, struct db_care_visit *visit);
enum db_status db_care_visit_get(struct db *db, int64_t id, struct db_care_visit *out);
enum db_status db_care_visit_list(struct db *db, const struct db_window *window,
                                  struct db_care_visit *out, size_t *out_count);
/* The current visit of a task that was latest; DB_NOT_FOUND: none. */
enum db_status db_care_visit_last(struct db *db, int64_t task_id,
                                  struct db_care_visit *out);
/* What the newest visit that says so said about running the heater, as of then (see
 * db_permit_facts). DB_NOT_FOUND: none says. */
enum db_status db_care_visit_may_run(struct db *db, int64_t heater_id, int64_t at,
                                     int64_t known_at, int64_t *out_at,
                                     bool *out_may_run);
/* How many rows a task's visits have in all: grows with every change of them. */
enum db_status db_care_visit_changes(struct db *db, int64_t task_id, int64_t *out_count);

/* ---- seasons ---- */

struct db_season {
    int64_t water_id, version, at, actor_id; /* version 0: never said */
    struct coil_season season;
};

/* DB_NOT_FOUND: no such water. */
enum db_status db_season_get(struct db *db, int64_t water_id, struct db_season *out);
enum db_status db_season_put(struct db *db, struct db_season *season);

/* ---- what tasks depend on ---- */

/* Seconds that a heater's burner is known to have fired in [from, until]; runs that
 * overlap count twice. */
enum db_status db_burner_seconds(struct db *db, int64_t heater_id, int64_t from,
                                 int64_t until, int64_t *out_seconds);
/* Newest super-chlorination of the waters that a heater serves, up to an instant: the end
 * of a plan, or a dose marked so. 0 for none. */
enum db_status db_super_chlorinated_at(struct db *db, int64_t heater_id, int64_t until,
                                       int64_t *out_at);

/* ---- for the record ---- */

struct db_logged {
    char name[DB_NAME_SIZE];
    char what[24]; /* "readings", "visits", … */
    int64_t count; /* rows, also those superseded since */
};

/* Who logged how much about a heater and a water in [from, until], by name. */
enum db_status db_logged_by(struct db *db, int64_t heater_id, int64_t water_id,
                            int64_t from, int64_t until, struct db_logged *out,
                            size_t max, size_t *out_count);

#endif
