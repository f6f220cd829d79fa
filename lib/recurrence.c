/*
 * A period (year, month, week, day) is made as a whole: every day in it is asked
 * whether it matches, then BYSETPOS picks. Slower than stepping by rule, and much
 * harder to get wrong.
 */
#include "recurrence.h"

#include <string.h>

#define SET_WORDS 6 /* 366 days */

/* A cursor passes this day and ends: 1 January after the last year. */
static int32_t end_day(void)
{
    int32_t day = 0;

    (void)coil_day_from_date((struct coil_date){COIL_RULE_YEAR_MAX + 1, 1, 1}, &day);
    return day;
}

static int32_t first_of(int year, int month)
{
    int32_t day = 0;

    (void)coil_day_from_date((struct coil_date){year, month, 1}, &day);
    return day;
}

static bool ordinals_fit(const struct coil_rule *rule)
{
    bool allowed = rule->freq == COIL_YEARLY || rule->freq == COIL_MONTHLY;
    int limit = rule->freq == COIL_YEARLY && rule->months == 0 ? 53 : 5;

    for (int i = 0; i < rule->by_day_count; i++) {
        int n = rule->by_day[i].ordinal;

        if ((unsigned)rule->by_day[i].weekday > COIL_SU || n < -limit || n > limit ||
            (n != 0 && !allowed))
            return false;
    }
    return true;
}

static bool set_pos_fits(const struct coil_rule *rule)
{
    if (rule->set_pos_count > 0 && rule->months == 0 && rule->month_days == 0 &&
        rule->month_days_end == 0 && rule->by_day_count == 0)
        return false;
    for (int i = 0; i < rule->set_pos_count; i++)
        if (rule->set_pos[i] == 0 || rule->set_pos[i] < -366 || rule->set_pos[i] > 366)
            return false;
    return true;
}

enum coil_status coil_rule_check(const struct coil_rule *rule)
{
    int year = coil_date_from_day(rule->start_day).year;
    const uint32_t none = 1u; /* bit 0 means nothing */

    if ((unsigned)rule->freq > COIL_DAILY || rule->interval < 1 ||
        rule->interval > 1000 || year < COIL_RULE_YEAR_MIN ||
        year > COIL_RULE_YEAR_MAX || rule->count < 0)
        return COIL_ERR_DOMAIN;
    if (rule->has_until && (rule->count > 0 || rule->until_day < rule->start_day))
        return COIL_ERR_DOMAIN;
    if ((rule->months & ~0x1ffeu) != 0 || (rule->month_days & none) != 0 ||
        (rule->month_days_end & none) != 0 || rule->by_day_count < 0 ||
        rule->by_day_count > COIL_BY_DAY_MAX || rule->set_pos_count < 0 ||
        rule->set_pos_count > COIL_SET_POS_MAX || (unsigned)rule->week_start > COIL_SU)
        return COIL_ERR_DOMAIN;
    if (rule->freq == COIL_WEEKLY && (rule->month_days | rule->month_days_end) != 0)
        return COIL_ERR_DOMAIN;
    return ordinals_fit(rule) && set_pos_fits(rule) ? COIL_OK : COIL_ERR_DOMAIN;
}

/* First day of the n-th period after the one that holds the start. */
static int32_t period_start(const struct coil_rule *rule, int64_t period)
{
    struct coil_date start = coil_date_from_day(rule->start_day);
    int64_t steps = period * rule->interval;
    int into_week;

    switch (rule->freq) {
    case COIL_YEARLY:
        if (start.year + steps > COIL_RULE_YEAR_MAX)
            return end_day();
        return first_of(start.year + (int)steps, 1);
    case COIL_MONTHLY:
        steps += start.month - 1;
        if (start.year + steps / 12 > COIL_RULE_YEAR_MAX)
            return end_day();
        return first_of(start.year + (int)(steps / 12), (int)(steps % 12) + 1);
    case COIL_WEEKLY:
        into_week =
            ((int)coil_weekday_from_day(rule->start_day) - (int)rule->week_start + 7) %
            7;
        return rule->start_day - into_week + (int32_t)(7 * steps);
    case COIL_DAILY:
    default:
        return rule->start_day + (int32_t)steps;
    }
}

static int period_length(const struct coil_rule *rule, int32_t from_day)
{
    struct coil_date date = coil_date_from_day(from_day);

    switch (rule->freq) {
    case COIL_YEARLY:
        return coil_month_length(date.year, 2) == 29 ? 366 : 365;
    case COIL_MONTHLY:
        return coil_month_length(date.year, date.month);
    case COIL_WEEKLY:
        return 7;
    case COIL_DAILY:
    default:
        return 1;
    }
}

/* offset: place of the day in its month or year, from 0, of `length` days. */
static bool is_ordinal(int ordinal, int offset, int length)
{
    if (ordinal > 0)
        return offset / 7 + 1 == ordinal;
    return (length - 1 - offset) / 7 + 1 == -ordinal;
}

static bool matches_by_day(const struct coil_rule *rule, int32_t day,
                           struct coil_date date)
{
    enum coil_weekday weekday = coil_weekday_from_day(day);
    bool in_year = rule->freq == COIL_YEARLY && rule->months == 0;
    int32_t first = first_of(date.year, in_year ? 1 : date.month);
    int length = coil_month_length(date.year, date.month);

    if (in_year)
        length = coil_month_length(date.year, 2) == 29 ? 366 : 365;
    for (int i = 0; i < rule->by_day_count; i++) {
        if (rule->by_day[i].weekday != weekday)
            continue;
        if (rule->by_day[i].ordinal == 0 ||
            is_ordinal(rule->by_day[i].ordinal, day - first, length))
            return true;
    }
    return false;
}

/* What the start's date stands for where no BY part says it. */
static bool matches_start(const struct coil_rule *rule, int32_t day,
                          struct coil_date date)
{
    struct coil_date start = coil_date_from_day(rule->start_day);

    switch (rule->freq) {
    case COIL_YEARLY:
        return date.day == start.day &&
               (rule->months != 0 || date.month == start.month);
    case COIL_MONTHLY:
        return date.day == start.day;
    case COIL_WEEKLY:
        return coil_weekday_from_day(day) == coil_weekday_from_day(rule->start_day);
    case COIL_DAILY:
    default:
        return true;
    }
}

static bool matches(const struct coil_rule *rule, int32_t day)
{
    struct coil_date date = coil_date_from_day(day);
    int from_end = coil_month_length(date.year, date.month) - date.day + 1;
    bool has_month_days = (rule->month_days | rule->month_days_end) != 0;

    if (rule->months != 0 && (rule->months >> date.month & 1u) == 0)
        return false;
    if (has_month_days && (rule->month_days >> date.day & 1u) == 0 &&
        (rule->month_days_end >> from_end & 1u) == 0)
        return false;
    if (rule->by_day_count > 0)
        return matches_by_day(rule, day, date);
    return has_month_days || matches_start(rule, day, date);
}

static bool has_bit(const uint64_t *set, int n)
{
    return (set[n / 64] >> (n % 64) & 1u) != 0;
}

static void pick_positions(const struct coil_rule *rule, int length, uint64_t *set)
{
    uint64_t picked[SET_WORDS] = {0};
    int size = 0;
    int place = 0;

    for (int n = 0; n < length; n++)
        size += has_bit(set, n);
    for (int n = 0; n < length; n++) {
        if (!has_bit(set, n))
            continue;
        place++;
        for (int i = 0; i < rule->set_pos_count; i++)
            if (rule->set_pos[i] == place || rule->set_pos[i] == place - size - 1)
                picked[n / 64] |= UINT64_C(1) << (n % 64);
    }
    memcpy(set, picked, sizeof picked);
}

static void make_period(const struct coil_rule *rule, struct coil_rule_cursor *cursor)
{
    int length;

    cursor->from_day = period_start(rule, cursor->period);
    cursor->next = 0;
    memset(cursor->set, 0, sizeof cursor->set);
    if (cursor->from_day >= end_day())
        return;
    length = period_length(rule, cursor->from_day);
    for (int n = 0; n < length; n++)
        if (matches(rule, cursor->from_day + n))
            cursor->set[n / 64] |= UINT64_C(1) << (n % 64);
    if (rule->set_pos_count > 0)
        pick_positions(rule, length, cursor->set);
}

void coil_rule_begin(const struct coil_rule *rule, struct coil_rule_cursor *cursor)
{
    (void)rule;
    *cursor = (struct coil_rule_cursor){.next = -1};
}

bool coil_rule_next(const struct coil_rule *rule, struct coil_rule_cursor *cursor,
                    int32_t *out_day)
{
    if (rule->count > 0 && cursor->emitted >= rule->count)
        return false;
    for (;;) {
        if (cursor->next < 0)
            make_period(rule, cursor);
        if (cursor->from_day >= end_day() ||
            (rule->has_until && cursor->from_day > rule->until_day))
            return false;
        while (cursor->next < 64 * SET_WORDS) {
            int n = cursor->next++;
            int32_t day = cursor->from_day + n;

            if (!has_bit(cursor->set, n) || day < rule->start_day)
                continue;
            if (rule->has_until && day > rule->until_day)
                return false;
            cursor->emitted++;
            *out_day = day;
            return true;
        }
        cursor->period++;
        cursor->next = -1;
    }
}

/* A period that starts on or before `day`; near it when nothing has to be counted. */
static int64_t period_near(const struct coil_rule *rule, int32_t day)
{
    static const int longest[] = {366, 31, 7, 1};
    int64_t period;

    if (rule->count > 0 || day <= rule->start_day)
        return 0;
    period = ((int64_t)day - rule->start_day) /
             ((int64_t)longest[rule->freq] * rule->interval);
    return period > 0 ? period - 1 : 0;
}

bool coil_rule_after(const struct coil_rule *rule, int32_t day, int32_t *out_day)
{
    struct coil_rule_cursor cursor;
    int32_t found;

    coil_rule_begin(rule, &cursor);
    cursor.period = period_near(rule, day);
    while (coil_rule_next(rule, &cursor, &found)) {
        if (found > day) {
            *out_day = found;
            return true;
        }
    }
    return false;
}

bool coil_rule_before(const struct coil_rule *rule, int32_t day, int32_t *out_day)
{
    struct coil_rule_cursor cursor;
    int32_t found;
    bool is_found = false;

    /* Goes back by growing steps, since the nearest periods may hold no occurrence. */
    for (int64_t back = 0;; back = back * 2 + 1) {
        int64_t near = period_near(rule, day);

        coil_rule_begin(rule, &cursor);
        cursor.period = near > back ? near - back : 0;
        while (coil_rule_next(rule, &cursor, &found) && found <= day) {
            *out_day = found;
            is_found = true;
        }
        if (is_found || near <= back)
            return is_found;
    }
}

enum coil_status coil_rule_set_yearly(struct coil_rule *rule, int month, int day,
                                      int32_t from_day)
{
    struct coil_rule made = {.freq = COIL_YEARLY, .interval = 1, .start_day = from_day};

    /* 2000 was a leap year: 29 February passes. */
    if (day < 1 || day > coil_month_length(2000, month))
        return COIL_ERR_DOMAIN;
    made.months = (uint16_t)(1u << month);
    made.month_days = month == 2 && day == 29 ? 0 : 1u << day;
    made.month_days_end = made.month_days == 0 ? 1u << 1 : 0;
    if (coil_rule_check(&made) != COIL_OK ||
        !coil_rule_after(&made, from_day - 1, &made.start_day))
        return COIL_ERR_DOMAIN;
    if (made.month_days == 0) {
        made.freq = COIL_MONTHLY;
        made.interval = 12;
        made.months = 0;
    }
    *rule = made;
    return COIL_OK;
}
