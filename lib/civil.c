#include "civil.h"

#define DAYS_400_YEARS 146097
#define DAYS_TO_1970 719468 /* from 0000-03-01 */

static bool is_leap(int year)
{
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

int coil_month_length(int year, int month)
{
    static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

    if (month < 1 || month > 12)
        return 0;
    return month == 2 && is_leap(year) ? 29 : length[month - 1];
}

enum coil_status coil_day_from_date(struct coil_date date, int32_t *out_day)
{
    int year, of_era, of_year;

    if (date.year < COIL_YEAR_MIN || date.year > COIL_YEAR_MAX || date.day < 1 ||
        date.day > coil_month_length(date.year, date.month))
        return COIL_ERR_DOMAIN;
    /* Years that start on 1 March have their leap day last. */
    year = date.month <= 2 ? date.year - 1 : date.year;
    of_era = year % 400;
    of_year = (153 * (date.month + (date.month > 2 ? -3 : 9)) + 2) / 5 + date.day - 1;
    *out_day = year / 400 * DAYS_400_YEARS + of_era * 365 + of_era / 4 - of_era / 100 +
               of_year - DAYS_TO_1970;
    return COIL_OK;
}

struct coil_date coil_date_from_day(int32_t day)
{
    int64_t shifted = (int64_t)day + DAYS_TO_1970;
    int64_t era =
        (shifted >= 0 ? shifted : shifted - (DAYS_400_YEARS - 1)) / DAYS_400_YEARS;
    int of_era = (int)(shifted - era * DAYS_400_YEARS);
    int year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    int of_year = of_era - (365 * year + year / 4 - year / 100);
    int month = (5 * of_year + 2) / 153; /* 0 is March */
    struct coil_date date;

    date.day = of_year - (153 * month + 2) / 5 + 1;
    date.month = month < 10 ? month + 3 : month - 9;
    date.year = (int)(era * 400) + year + (date.month <= 2 ? 1 : 0);
    return date;
}

enum coil_weekday coil_weekday_from_day(int32_t day)
{
    int64_t from_monday = ((int64_t)day + 3) % 7; /* day 0 was a Thursday */

    return (enum coil_weekday)(from_monday < 0 ? from_monday + 7 : from_monday);
}
