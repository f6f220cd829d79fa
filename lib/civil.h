/*
 * Dates of the Gregorian calendar as they hang on a wall: no hours, no zones.
 *
 * A day is a count of days from 1970-01-01 (day 0). Knows nothing of instants.
 */
#ifndef COIL_CIVIL_H
#define COIL_CIVIL_H

#include <stdbool.h>
#include <stdint.h>

#include "status.h"

#define COIL_YEAR_MIN 1600
#define COIL_YEAR_MAX 2999

struct coil_date {
    int year;  /* COIL_YEAR_MIN to COIL_YEAR_MAX */
    int month; /* 1 to 12 */
    int day;   /* 1 to the month's length */
};

enum coil_weekday { COIL_MO, COIL_TU, COIL_WE, COIL_TH, COIL_FR, COIL_SA, COIL_SU };

/* Length of a month in days; 0 when month is not 1 to 12. */
int coil_month_length(int year, int month);

/* Returns COIL_OK or COIL_ERR_DOMAIN: no such date, or a year outside the range.
 * out_day stays untouched then. */
enum coil_status coil_day_from_date(struct coil_date date, int32_t *out_day);

/* day of any date in the range; beyond it the calendar goes on. */
struct coil_date coil_date_from_day(int32_t day);

enum coil_weekday coil_weekday_from_day(int32_t day);

#endif
