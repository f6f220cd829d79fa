#include "schedule.h"

#include <math.h>
#include <stddef.h>

#define SOON_PART 0.1 /* burner hours: the last tenth is due soon; ours, no source */

struct coil_season coil_season_usual(enum coil_hemisphere hemisphere)
{
    struct coil_season north = {false, 5, 1, 10, 1};
    struct coil_season south = {false, 11, 1, 4, 1};

    return hemisphere == COIL_SOUTH ? south : north;
}

static bool is_date(int month, int day)
{
    return day >= 1 && day <= coil_month_length(2000, month);
}

enum coil_status coil_season_check(const struct coil_season *season)
{
    if (season->is_year_round)
        return COIL_OK;
    if (!is_date(season->open_month, season->open_day) ||
        !is_date(season->close_month, season->close_day))
        return COIL_ERR_DOMAIN;
    if (season->open_month == season->close_month &&
        season->open_day == season->close_day)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* Month and day as one number that grows through the year. */
static int order(int month, int day)
{
    return 32 * month + day;
}

bool coil_season_is_open(const struct coil_season *season, int32_t day)
{
    struct coil_date date = coil_date_from_day(day);
    int now = order(date.month, date.day);
    int open = order(season->open_month, season->open_day);
    int close = order(season->close_month, season->close_day);

    if (season->is_year_round)
        return true;
    return open < close ? now >= open && now < close : now >= open || now < close;
}

/* 29 February in a year without one is 1 March. */
static int32_t day_in_year(int year, int month, int day)
{
    struct coil_date date = {year, month, day};
    int32_t found = 0;

    if (day > coil_month_length(year, month))
        date = (struct coil_date){year, month + 1, 1};
    (void)coil_day_from_date(date, &found);
    return found;
}

int32_t coil_season_next_opening(const struct coil_season *season, int32_t day)
{
    int year = coil_date_from_day(day).year;
    int32_t opening;

    if (season->is_year_round)
        return day;
    opening = day_in_year(year, season->open_month, season->open_day);
    if (opening < day)
        opening = day_in_year(year + 1, season->open_month, season->open_day);
    return opening;
}

enum coil_status coil_rule_before_season(const struct coil_season *season,
                                         enum coil_hemisphere hemisphere, int lead_days,
                                         int32_t from_day, struct coil_rule *out_rule)
{
    struct coil_season used = *season;
    struct coil_date date;

    if (coil_season_check(season) != COIL_OK || lead_days < 0 || lead_days > 180)
        return COIL_ERR_DOMAIN;
    if (season->is_year_round)
        used = coil_season_usual(hemisphere);
    date = coil_date_from_day(day_in_year(2001, used.open_month, used.open_day) -
                              lead_days);
    return coil_rule_set_yearly(out_rule, date.month, date.day, from_day);
}

/* The turn that is open: see the header. False when the rule has no further day. */
static bool calendar_turn(const struct coil_rule *rule,
                          const struct coil_task_history *history, int32_t *out_day)
{
    int32_t before = 0;
    int32_t next;

    if (!history->is_done)
        return coil_rule_after(rule, rule->start_day - 1, out_day);
    if (!coil_rule_after(rule, history->done_day, &next))
        return false;
    if (!coil_rule_before(rule, history->done_day, &before)) {
        /* Before the first turn: the gap after it stands for the one before. */
        int32_t second;

        before = coil_rule_after(rule, next, &second) ? next - (second - next) : next;
    }
    if (4 * ((int64_t)next - history->done_day) <= (int64_t)next - before)
        return coil_rule_after(rule, next, out_day);
    *out_day = next;
    return true;
}

static enum coil_due state_from_day(int32_t due, int32_t today, int soon_days)
{
    if (due < today)
        return COIL_DUE_OVERDUE;
    if (due == today)
        return COIL_DUE_TODAY;
    return due - (int64_t)today <= soon_days ? COIL_DUE_SOON : COIL_DUE_LATER;
}

static enum coil_status refuse(const struct coil_task *task,
                               const struct coil_task_history *h,
                               const struct coil_season *season)
{
    if ((unsigned)task->kind > COIL_TASK_AFTER_EVENT || task->soon_days < 0 ||
        task->soon_days > 366)
        return COIL_ERR_DOMAIN;
    if (season != NULL && coil_season_check(season) != COIL_OK)
        return COIL_ERR_DOMAIN;
    if (task->kind == COIL_TASK_CALENDAR)
        return coil_rule_check(&task->rule);
    if (task->kind == COIL_TASK_AFTER_EVENT)
        return task->after_days < 0 || task->after_days > 3660 ? COIL_ERR_DOMAIN
                                                               : COIL_OK;
    if (!isfinite(task->every_burner_h) || !isfinite(h->burner_h_at_done) ||
        !isfinite(h->burner_h_now) || !isfinite(h->burner_h_per_day))
        return COIL_ERR_NOT_FINITE;
    if (task->every_burner_h <= 0.0 || task->every_burner_h > 1e5 ||
        h->burner_h_at_done < 0.0 || h->burner_h_now < h->burner_h_at_done ||
        h->burner_h_now > 1e6 || h->burner_h_per_day < 0.0 ||
        h->burner_h_per_day > 24.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

static void burner_hours_turn(const struct coil_task *task,
                              const struct coil_task_history *h, int32_t today,
                              struct coil_task_due *out)
{
    double left = task->every_burner_h - (h->burner_h_now - h->burner_h_at_done);
    double days = h->burner_h_per_day > 0.0 ? left / h->burner_h_per_day : INFINITY;

    out->burner_h_left = left;
    out->is_estimate = true;
    if (left <= 0.0) {
        out->state = left < 0.0 ? COIL_DUE_OVERDUE : COIL_DUE_TODAY;
        return; /* since which day is not known */
    }
    out->state = COIL_DUE_LATER;
    if (days <= task->soon_days || left <= SOON_PART * task->every_burner_h)
        out->state = COIL_DUE_SOON;
    out->has_day = days <= 36600.0;
    if (out->has_day)
        out->due_day = today + (int32_t)ceil(days);
}

static void day_turn(const struct coil_task *task, const struct coil_task_history *h,
                     struct coil_task_due *out)
{
    if (task->kind == COIL_TASK_CALENDAR) {
        out->has_day = calendar_turn(&task->rule, h, &out->due_day);
    } else {
        out->has_day = h->has_event && !(h->is_done && h->done_day >= h->event_day);
        out->due_day = out->has_day ? h->event_day + task->after_days : 0;
    }
}

enum coil_status coil_task_due(const struct coil_task *task,
                               const struct coil_task_history *history,
                               const struct coil_season *season, int32_t today,
                               struct coil_task_due *out)
{
    enum coil_status status = refuse(task, history, season);
    struct coil_task_due due = {.state = COIL_DUE_NOTHING};

    if (status != COIL_OK)
        return status;
    if (task->kind == COIL_TASK_BURNER_HOURS)
        burner_hours_turn(task, history, today, &due);
    else
        day_turn(task, history, &due);
    if (history->is_moved && (due.has_day || due.state != COIL_DUE_NOTHING)) {
        due.has_day = true;
        due.is_estimate = false;
        due.due_day = history->moved_day;
        due.state = state_from_day(due.due_day, today, task->soon_days);
    } else if (due.has_day) {
        if (task->waits_for_season && season != NULL &&
            !coil_season_is_open(season, due.due_day))
            due.due_day = coil_season_next_opening(season, due.due_day);
        if (task->kind != COIL_TASK_BURNER_HOURS)
            due.state = state_from_day(due.due_day, today, task->soon_days);
    }
    *out = due;
    return COIL_OK;
}
