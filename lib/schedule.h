/*
 * When care of a heater is due: by calendar, by burner hours, after an event.
 *
 * Works on civil dates; the caller knows which day it is where the heater stands. Knows
 * nothing of what a task is, of people or of words.
 */
#ifndef COIL_SCHEDULE_H
#define COIL_SCHEDULE_H

#include "recurrence.h"

/* Months in which pools stand open where nobody said otherwise: May to September in the
 * north, November to March in the south. Common practice, no source. */
enum coil_hemisphere { COIL_NORTH, COIL_SOUTH };

/* Year after year from one date to another; may pass over new year. */
struct coil_season {
    bool is_year_round; /* the rest does not count then */
    int open_month, open_day;
    int close_month, close_day; /* the first day on which the pool is closed */
};

struct coil_season coil_season_usual(enum coil_hemisphere hemisphere);

/* COIL_OK, or COIL_ERR_DOMAIN: no such date, or opening and closing the same. */
enum coil_status coil_season_check(const struct coil_season *season);

/* For a season that passed the check. 29 February counts as 1 March in other years. */
bool coil_season_is_open(const struct coil_season *season, int32_t day);

/* First opening day on or after a day; the day itself for a year-round pool. */
int32_t coil_season_next_opening(const struct coil_season *season, int32_t day);

/*
 * Yearly rule for a task that is done before the season.
 *
 * season     year-round pools get the usual season's date of their hemisphere
 * lead_days  days before the opening, 0 to 180
 * from_day   the rule starts with the first such date on or after it
 *
 * Returns COIL_OK or COIL_ERR_DOMAIN. The date is counted in a year without leap day.
 */
enum coil_status coil_rule_before_season(const struct coil_season *season,
                                         enum coil_hemisphere hemisphere, int lead_days,
                                         int32_t from_day, struct coil_rule *out_rule);

enum coil_task_kind {
    COIL_TASK_CALENDAR,     /* by a rule */
    COIL_TASK_BURNER_HOURS, /* every n hours of firing */
    COIL_TASK_AFTER_EVENT   /* some days after each event */
};

struct coil_task {
    enum coil_task_kind kind;
    struct coil_rule rule; /* for CALENDAR; passed coil_rule_check */
    double every_burner_h; /* for BURNER_HOURS, > 0 to 100000 */
    int after_days;        /* for AFTER_EVENT, 0 to 3660 */
    int soon_days; /* days before it is due from which it is due soon, 0 to 366 */
    bool waits_for_season; /* due while the pool is closed: moves to the opening */
};

/* What was done last, or skipped: both end one turn. */
struct coil_task_history {
    bool is_done;
    int32_t done_day;
    double burner_h_at_done; /* the heater's hours then; at its first day if not done */
    double burner_h_now;
    double burner_h_per_day; /* lately; 0 when not known */
    bool has_event;
    int32_t event_day; /* the latest one */
    bool is_moved;     /* the turn that is open was put on another day */
    int32_t moved_day;
};

enum coil_due {
    COIL_DUE_NOTHING, /* no event yet, or the rule has ended */
    COIL_DUE_LATER,
    COIL_DUE_SOON,
    COIL_DUE_TODAY,
    COIL_DUE_OVERDUE
};

struct coil_task_due {
    enum coil_due state;
    bool has_day; /* false: nothing due, or hours without a rate */
    int32_t due_day;
    bool is_estimate;     /* from burner hours to come */
    double burner_h_left; /* for BURNER_HOURS; negative when overdue */
};

/*
 * Next turn of a task.
 *
 * season  may be NULL: always open
 * today   the day at the heater
 * out     untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN (ranges above, burner hours
 * that ran backwards).
 *
 * Calendar: never done, the rule's first day. Done on some day, the first one after it;
 * but when it was done in the last quarter of the time before a day, it was done for
 * that day, and the one after is due (a cleaning in March counts for 1 April, one in
 * November does not). Turns that were missed do not pile up. The quarter is a
 * convention of ours, no source.
 */
enum coil_status coil_task_due(const struct coil_task *task,
                               const struct coil_task_history *history,
                               const struct coil_season *season, int32_t today,
                               struct coil_task_due *out);

#endif
