/*
 * Reads a calendar from stdin with libical and prints one line for each entry:
 * UID|SEQUENCE|STATUS|SUMMARY|day day day, the first three days on which it occurs.
 * Exit code 2 when libical finds a fault.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libical/ical.h>

#define BYTES_MAX (1024 * 1024)
#define DAYS 3

static void print_days(icalcomponent *event)
{
    struct icaltimetype start = icalcomponent_get_dtstart(event), day;
    icalproperty *rule = icalcomponent_get_first_property(event, ICAL_RRULE_PROPERTY);
    icalrecur_iterator *days;

    if (rule == NULL) {
        printf("%04d-%02d-%02d", start.year, start.month, start.day);
        return;
    }
    days = icalrecur_iterator_new(icalproperty_get_rrule(rule), start);
    for (int i = 0; i < DAYS && days != NULL; i++) {
        day = icalrecur_iterator_next(days);
        if (icaltime_is_null_time(day))
            break;
        printf("%s%04d-%02d-%02d", i == 0 ? "" : " ", day.year, day.month, day.day);
    }
    icalrecur_iterator_free(days);
}

int main(void)
{
    char *text = calloc(1, BYTES_MAX);
    icalcomponent *calendar, *event;
    int faults;

    if (text == NULL || fread(text, 1, BYTES_MAX - 1, stdin) == 0)
        return 2;
    calendar = icalparser_parse_string(text);
    free(text);
    if (calendar == NULL)
        return 2;
    faults = icalcomponent_count_errors(calendar) + !icalrestriction_check(calendar);
    for (event = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT);
         event != NULL;
         event = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT)) {
        icalproperty *status =
            icalcomponent_get_first_property(event, ICAL_STATUS_PROPERTY);

        printf("%s|%d|%s|%s|", icalcomponent_get_uid(event),
               icalcomponent_get_sequence(event),
               status == NULL ? "" : icalproperty_get_value_as_string(status),
               icalcomponent_get_summary(event));
        print_days(event);
        putchar('\n');
    }
    icalcomponent_free(calendar);
    return faults > 0 ? 2 : 0;
}
