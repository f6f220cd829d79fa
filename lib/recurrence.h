/*
 * Days on which something repeats, by a rule as in [rfc-5545] (iCalendar), on civil
 * dates.
 *
 * Taken: FREQ yearly, monthly, weekly, daily; INTERVAL, COUNT, UNTIL, BYMONTH,
 * BYMONTHDAY, BYDAY with ordinals, BYSETPOS, WKST. Not taken: parts of a day, BYWEEKNO,
 * BYYEARDAY, RSCALE. Knows nothing of tasks.
 */
#ifndef COIL_RECURRENCE_H
#define COIL_RECURRENCE_H

#include "civil.h"

enum coil_freq { COIL_YEARLY, COIL_MONTHLY, COIL_WEEKLY, COIL_DAILY };

#define COIL_BY_DAY_MAX 14
#define COIL_SET_POS_MAX 8
#define COIL_RULE_YEAR_MIN 1900 /* of the start */
#define COIL_RULE_YEAR_MAX 2399 /* nothing repeats beyond it */

struct coil_by_day {
    enum coil_weekday weekday;
    int ordinal; /* 0: every; 2: the second, -1: the last, of the month, or of the year
                    for a yearly rule without months; -53 to 53 */
};

/* All zero but start_day and interval is a yearly rule on the start's date. */
struct coil_rule {
    enum coil_freq freq;
    int interval;      /* 1 to 1000: every n-th year, month, week, day */
    int32_t start_day; /* nothing before it; a start that does not match is no
                          occurrence and is not counted */
    int count;         /* occurrences in all; 0: no end */
    bool has_until;
    int32_t until_day;       /* last day on which it can occur */
    uint16_t months;         /* bit 1 January to bit 12 December; 0: not given */
    uint32_t month_days;     /* bit 1 to bit 31 */
    uint32_t month_days_end; /* bit 1: last day of the month, bit 2: the one before */
    int by_day_count;
    struct coil_by_day by_day[COIL_BY_DAY_MAX];
    int set_pos_count;
    int set_pos[COIL_SET_POS_MAX]; /* 1: first of a period's set, -1: last; not 0 */
    enum coil_weekday week_start;  /* counts for weekly rules with an interval */
};

/* Where an iteration stands; the caller's memory, no need to release. */
struct coil_rule_cursor {
    int64_t period;   /* counted from the start's own */
    int32_t from_day; /* first day of the period */
    int next;         /* offset in the set from which to go on; -1: period not made */
    int emitted;
    uint64_t set[6]; /* bit n: from_day + n occurs */
};

/*
 * Returns COIL_OK, or COIL_ERR_DOMAIN for a rule that RFC 5545 forbids or that is
 * outside the ranges above: ordinals in weekly and daily rules, month days in a weekly
 * one, COUNT with UNTIL, BYSETPOS with no other BY part, until before start.
 */
enum coil_status coil_rule_check(const struct coil_rule *rule);

/* Puts the cursor before the first occurrence. The rule has passed coil_rule_check. */
void coil_rule_begin(const struct coil_rule *rule, struct coil_rule_cursor *cursor);

/* Next occurrence, ascending; false when there is none: out_day untouched. */
bool coil_rule_next(const struct coil_rule *rule, struct coil_rule_cursor *cursor,
                    int32_t *out_day);

/* First occurrence after a day, and last one on or before it; false when none. */
bool coil_rule_after(const struct coil_rule *rule, int32_t day, int32_t *out_day);
bool coil_rule_before(const struct coil_rule *rule, int32_t day, int32_t *out_day);

/*
 * Sets the rule to one date a year. 29 February becomes the last day of every twelfth
 * month (FREQ=MONTHLY;INTERVAL=12;BYMONTHDAY=-1 from a February), so that the task
 * comes every year, not every fourth; common calendar programs read that form rightly,
 * and BYMONTH=2;BYMONTHDAY=-1 not. Returns COIL_OK or COIL_ERR_DOMAIN; start_day is the
 * first such day on or after from.
 */
enum coil_status coil_rule_set_yearly(struct coil_rule *rule, int month, int day,
                                      int32_t from_day);

#endif
