/*
 * Prints the days of recurrence rules, for comparison with another program.
 *
 * One rule a line on stdin: DATE COUNT RULE, as in "2024-02-29 20
 * FREQ=YEARLY;INTERVAL=2". One line a rule on stdout: up to COUNT days, YYYY-MM-DD,
 * with blanks between; or the word "refused". Exit code 2 for a line of another
 * shape.
 */
#include <stdio.h>
#include <string.h>

#include "lib/recurrence_text.h"

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

/* Written and read again, it must give the same days. */
static bool comes_back(const struct coil_rule *rule)
{
    struct coil_rule again = {.start_day = rule->start_day};
    char text[COIL_RULE_TEXT_SIZE], twice[COIL_RULE_TEXT_SIZE];

    coil_rule_write(rule, text, sizeof text);
    if (coil_rule_read(text, &again) != COIL_OK)
        return false;
    coil_rule_write(&again, twice, sizeof twice);
    return strcmp(text, twice) == 0;
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
            coil_day_from_date(start, &rule.start_day) != COIL_OK) {
            fprintf(stderr, "not understood: %s", line);
            return 2;
        }
        if (coil_rule_read(text, &rule) != COIL_OK)
            puts("refused");
        else if (!comes_back(&rule))
            puts("changed by writing");
        else
            print_days(&rule, count);
    }
    return 0;
}
