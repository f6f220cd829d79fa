/*
 * Prints the days of recurrence rules, for comparison with another program.
 *
 * One rule a line on stdin: DATE COUNT RULE, as in "2024-02-29 20
 * FREQ=YEARLY;INTERVAL=2". One line a rule on stdout: up to COUNT days, YYYY-MM-DD,
 * with blanks between; or the word "refused". Exit code 2 for a line that is not
 * understood.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lib/recurrence.h"

static const char *const weekdays[] = {"MO", "TU", "WE", "TH", "FR", "SA", "SU"};

static int weekday_from(const char *text)
{
    for (int i = 0; i < 7; i++)
        if (strcmp(weekdays[i], text) == 0)
            return i;
    return -1;
}

static int add_by_day(struct coil_rule *rule, const char *item)
{
    char *end;
    long ordinal = strtol(item, &end, 10);
    int weekday = weekday_from(end);

    if (weekday < 0 || rule->by_day_count >= COIL_BY_DAY_MAX)
        return 0;
    rule->by_day[rule->by_day_count].weekday = (enum coil_weekday)weekday;
    rule->by_day[rule->by_day_count++].ordinal = (int)ordinal;
    return 1;
}

static int add_item(struct coil_rule *rule, const char *key, const char *item)
{
    int n = (int)strtol(item, NULL, 10);

    if (strcmp(key, "BYDAY") == 0)
        return add_by_day(rule, item);
    if (strcmp(key, "BYMONTH") == 0 && n >= 1 && n <= 12)
        rule->months |= (uint16_t)(1u << n);
    else if (strcmp(key, "BYMONTHDAY") == 0 && n >= 1 && n <= 31)
        rule->month_days |= 1u << n;
    else if (strcmp(key, "BYMONTHDAY") == 0 && n <= -1 && n >= -31)
        rule->month_days_end |= 1u << -n;
    else if (strcmp(key, "BYSETPOS") == 0 && rule->set_pos_count < COIL_SET_POS_MAX)
        rule->set_pos[rule->set_pos_count++] = n;
    else
        return 0;
    return 1;
}

static int day_from_text(const char *text, int32_t *out_day)
{
    struct coil_date date;

    return sscanf(text, "%4d%2d%2d", &date.year, &date.month, &date.day) == 3 &&
           coil_day_from_date(date, out_day) == COIL_OK;
}

static int set_part(struct coil_rule *rule, const char *key, char *value)
{
    static const char *const freqs[] = {"YEARLY", "MONTHLY", "WEEKLY", "DAILY"};
    char *rest = NULL;

    if (strcmp(key, "FREQ") == 0) {
        for (int i = 0; i < 4; i++)
            if (strcmp(freqs[i], value) == 0) {
                rule->freq = (enum coil_freq)i;
                return 1;
            }
        return 0;
    }
    if (strcmp(key, "INTERVAL") == 0)
        return (rule->interval = (int)strtol(value, NULL, 10)) > 0;
    if (strcmp(key, "COUNT") == 0)
        return (rule->count = (int)strtol(value, NULL, 10)) > 0;
    if (strcmp(key, "UNTIL") == 0)
        return rule->has_until = day_from_text(value, &rule->until_day);
    if (strcmp(key, "WKST") == 0) {
        rule->week_start = (enum coil_weekday)weekday_from(value);
        return 1;
    }
    for (char *item = strtok_r(value, ",", &rest); item != NULL;
         item = strtok_r(NULL, ",", &rest))
        if (!add_item(rule, key, item))
            return 0;
    return 1;
}

static int parse_rule(char *text, struct coil_rule *rule)
{
    char *rest = NULL;

    for (char *part = strtok_r(text, ";", &rest); part != NULL;
         part = strtok_r(NULL, ";", &rest)) {
        char *value = strchr(part, '=');

        if (value == NULL)
            return 0;
        *value++ = '\0';
        if (!set_part(rule, part, value))
            return 0;
    }
    return 1;
}

static void print_days(const struct coil_rule *rule, int count)
{
    struct coil_rule_cursor cursor;
    int32_t day;

    coil_rule_begin(rule, &cursor);
    for (int i = 0; i < count && coil_rule_next(rule, &cursor, &day); i++) {
        struct coil_date date = coil_date_from_day(day);

        printf("%s%04d-%02d-%02d", i == 0 ? "" : " ", date.year, date.month, date.day);
    }
    putchar('\n');
}

int main(void)
{
    char line[1024];

    while (fgets(line, sizeof line, stdin) != NULL) {
        struct coil_rule rule = {.interval = 1};
        struct coil_date start;
        char text[1024];
        int count;

        if (sscanf(line, "%4d-%2d-%2d %d %1023s", &start.year, &start.month, &start.day,
                   &count, text) != 5 ||
            coil_day_from_date(start, &rule.start_day) != COIL_OK ||
            !parse_rule(text, &rule)) {
            fprintf(stderr, "not understood: %s", line);
            return 2;
        }
        if (coil_rule_check(&rule) == COIL_OK)
            print_days(&rule, count);
        else
            puts("refused");
    }
    return 0;
}
