#include "import_dates.h"

#include <math.h>
#include <string.h>

#include "decimal.h"

#define CELL_SIZE 96 /* longer cells hold no date */
#define DAY_S 86400
#define SERIAL_1970 25569 /* 1970-01-01 in days since 1899-12-30 */
#define SERIAL_END 80000  /* in the year 2119 */

/* What is left of a folded cell. */
struct rest {
    const char *at;
};

/* ---- letters ---- */

/* U+00C0 … U+00FF without their accents; 0 stays as it is. */
static const char latin[64 + 1] = "aaaaaa0ceeeeiiii0nooooo0ouuuuy00"
                                  "aaaaaa0ceeeeiiii0nooooo0ouuuuy0y";

/* One folded letter of a two-byte sequence, 0 when it is not one of them. */
static char fold_pair(unsigned char first, unsigned char second)
{
    char letter;

    if (first != 0xC3 || second < 0x80 || second > 0xBF)
        return 0;
    letter = latin[second - 0x80];
    return letter == '0' ? 0 : letter;
}

/* Folds one character beyond ASCII; returns how many bytes of it were read. */
static size_t fold_wide(const char *text, size_t length, char *out, size_t *used)
{
    unsigned char byte = (unsigned char)text[0];
    unsigned char next = length > 1 ? (unsigned char)text[1] : 0;
    char letter = fold_pair(byte, next);

    if (letter != 0) {
        out[(*used)++] = letter;
        return 2;
    }
    if (byte == 0xC3 && next == 0x9F) {
        out[(*used)++] = 's';
        out[(*used)++] = 's';
        return 2;
    }
    if (byte == 0xC2 && next == 0xA0) { /* no-break space */
        out[(*used)++] = ' ';
        return 2;
    }
    if (length > 2 && byte == 0xE2 && next == 0x82 &&
        ((unsigned char)text[2] & 0xF0) == 0x80) { /* Cl₂, CaCO₃ */
        out[(*used)++] = (char)('0' + ((unsigned char)text[2] & 0x0F) % 10);
        return 3;
    }
    out[(*used)++] = text[0];
    return 1;
}

size_t import_fold(const char *text, size_t length, char *out, size_t size)
{
    size_t used = 0;
    size_t i = 0;

    while (i < length && used + 2 < size) {
        unsigned char byte = (unsigned char)text[i];

        if (byte >= 0x80) {
            i += fold_wide(text + i, length - i, out, &used);
            continue;
        }
        out[used++] = (char)(byte >= 'A' && byte <= 'Z' ? byte + 32 : byte);
        i++;
    }
    out[used] = '\0';
    return used;
}

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

static bool is_letter(char byte)
{
    return byte >= 'a' && byte <= 'z';
}

static void pass_blanks(struct rest *rest)
{
    while (*rest->at == ' ' || *rest->at == '\t')
        rest->at++;
}

/* Digits as a number; their count, 0 for none. More than 9 digits are none. */
static int take_number(struct rest *rest, int *out_value)
{
    int digits = 0;
    int value = 0;

    for (; is_digit(rest->at[digits]); digits++) {
        if (digits == 9)
            return 0;
        value = value * 10 + (rest->at[digits] - '0');
    }
    if (digits == 0)
        return 0;
    rest->at += digits;
    *out_value = value;
    return digits;
}

/* A word of letters; its length, 0 for none. */
static size_t word_length(const struct rest *rest)
{
    size_t length = 0;

    while (is_letter(rest->at[length]))
        length++;
    return length;
}

static bool take_word(struct rest *rest, const char *word)
{
    size_t length = strlen(word);

    if (word_length(rest) != length || memcmp(rest->at, word, length) != 0)
        return false;
    rest->at += length;
    return true;
}

static bool take_byte(struct rest *rest, char byte)
{
    if (*rest->at != byte)
        return false;
    rest->at++;
    return true;
}

/* ---- names ---- */

static const struct {
    const char *name;
    int month;
} months[] = {
    {"january", 1},    {"februar", 2},   {"february", 2}, {"march", 3},
    {"april", 4},      {"may", 5},       {"june", 6},     {"july", 7},
    {"august", 8},     {"september", 9}, {"october", 10}, {"november", 11},
    {"december", 12},  {"januar", 1},    {"janner", 1},   {"jaenner", 1},
    {"marz", 3},       {"maerz", 3},     {"mrz", 3},      {"mai", 5},
    {"juni", 6},       {"juli", 7},      {"oktober", 10}, {"dezember", 12},
    {"enero", 1},      {"febrero", 2},   {"marzo", 3},    {"abril", 4},
    {"mayo", 5},       {"junio", 6},     {"julio", 7},    {"agosto", 8},
    {"septiembre", 9}, {"setiembre", 9}, {"octubre", 10}, {"noviembre", 11},
    {"diciembre", 12},
};

/* A month's name or its first three letters or more; 0 when there is none. */
static int take_month(struct rest *rest)
{
    size_t length = word_length(rest);

    if (length < 3)
        return 0;
    for (size_t i = 0; i < sizeof months / sizeof months[0]; i++) {
        if (strncmp(months[i].name, rest->at, length) == 0) {
            rest->at += length;
            take_byte(rest, '.');
            return months[i].month;
        }
    }
    return 0;
}

/* A weekday may stand before a date. Tried only when the cell does not start
 * with a date: "mar" may be March or martes. */
static void pass_weekday(struct rest *rest)
{
    static const char *const names[] = {
        "monday",  "tuesday",   "wednesday", "thursday", "friday",     "saturday",
        "sunday",  "montag",    "dienstag",  "mittwoch", "donnerstag", "freitag",
        "samstag", "sonnabend", "sonntag",   "lunes",    "martes",     "miercoles",
        "jueves",  "viernes",   "sabado",    "domingo",
    };
    size_t length = word_length(rest);

    if (length < 2)
        return;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (strncmp(names[i], rest->at, length) == 0) {
            rest->at += length;
            take_byte(rest, '.');
            take_byte(rest, ',');
            pass_blanks(rest);
            return;
        }
    }
}

/* ---- times of day ---- */

/* "am", "a.m.", "a. m.", "pm" …: 0 none, 1 am, 2 pm. */
static int take_half(struct rest *rest)
{
    struct rest tried = *rest;
    char letter;

    pass_blanks(&tried);
    letter = *tried.at;
    if (letter != 'a' && letter != 'p')
        return 0;
    tried.at++;
    take_byte(&tried, '.');
    pass_blanks(&tried);
    if (!take_byte(&tried, 'm'))
        return 0;
    take_byte(&tried, '.');
    *rest = tried;
    return letter == 'a' ? 1 : 2;
}

/* hh:mm[:ss[.fff]] with am or pm, or an hour with am or pm alone. */
static bool take_clock(struct rest *rest, int *out_second_of_day)
{
    int hour = 0, minute = 0, second = 0, fraction;
    int half;
    bool has_minute = false;

    if (take_number(rest, &hour) == 0)
        return false;
    if (*rest->at == ':' || *rest->at == '.' || *rest->at == 'h') {
        rest->at++;
        has_minute = take_number(rest, &minute) == 2;
        if (!has_minute)
            return false;
    }
    if (has_minute && (*rest->at == ':' || *rest->at == '.')) {
        rest->at++;
        if (take_number(rest, &second) != 2)
            return false;
        if ((*rest->at == '.' || *rest->at == ',') && is_digit(rest->at[1])) {
            rest->at++;
            take_number(rest, &fraction); /* parts of a second are dropped */
        }
    }
    half = take_half(rest);
    if ((!has_minute && half == 0) || (half != 0 && (hour < 1 || hour > 12)) ||
        hour > 23 || minute > 59 || second > 59)
        return false;
    if (half != 0)
        hour = hour % 12 + (half == 2 ? 12 : 0);
    *out_second_of_day = hour * 3600 + minute * 60 + second;
    return true;
}

static void pass_clock_word(struct rest *rest)
{
    static const char *const words[] = {"uhr", "h", "hs", "hrs", "hours", "horas"};

    pass_blanks(rest);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (take_word(rest, words[i])) {
            take_byte(rest, '.');
            pass_blanks(rest);
            return;
        }
    }
}

/* Z, UTC, +01:00, -0500, +02. False when there is none. */
static bool take_offset(struct rest *rest, int *out_offset_s)
{
    int hours = 0, minutes = 0, digits;
    char sign;

    if (take_word(rest, "z") || take_word(rest, "utc") || take_word(rest, "gmt")) {
        *out_offset_s = 0;
        return true;
    }
    sign = *rest->at;
    if (sign != '+' && sign != '-')
        return false;
    rest->at++;
    digits = take_number(rest, &hours);
    if (digits == 4) {
        minutes = hours % 100;
        hours /= 100;
    } else if (digits != 2) {
        return false;
    } else if (take_byte(rest, ':') && take_number(rest, &minutes) != 2) {
        return false;
    }
    *out_offset_s = (sign == '-' ? -1 : 1) * (hours * 3600 + minutes * 60);
    return hours <= 15 && minutes <= 59;
}

/* ---- numbers alone ---- */

/* A fraction of a day, to the second. */
static int second_of_fraction(double fraction)
{
    int second = (int)lround(fraction * DAY_S);

    return second < DAY_S ? second : DAY_S - 1;
}

static void set_known(struct import_date *out, int year, int month, int day)
{
    out->kind = IMPORT_DATE_KNOWN;
    out->is_day = zone_date_days(year, month, day, &out->days);
}

static void set_serial(struct import_date *out, double serial)
{
    out->kind = IMPORT_DATE_KNOWN;
    out->is_day = true;
    out->days = (int64_t)floor(serial) - SERIAL_1970;
    out->has_time = serial > floor(serial);
    out->second_of_day = second_of_fraction(serial - floor(serial));
}

/* The whole cell is one number. */
static void read_number(const char *cell, size_t length, struct import_date *out)
{
    int64_t value_e6;
    double value;
    int digits = (int)strspn(cell, "0123456789");
    int number;
    struct rest rest = {cell};

    if (digits == (int)length && length == 8 && take_number(&rest, &number) == 8) {
        set_known(out, number / 10000, number / 100 % 100, number % 100);
        return;
    }
    if (length >= 12 && digits == (int)length && length <= 13) {
        /* milliseconds: the last three digits go */
        if (decimal_read(cell, length - 3, '.', &value_e6) != DECIMAL_OK)
            return;
        out->kind = IMPORT_DATE_INSTANT;
        out->instant_s = value_e6 / 1000000;
        return;
    }
    if (decimal_read(cell, length, 0, &value_e6) != DECIMAL_OK || value_e6 < 0)
        return;
    value = decimal_to_double(value_e6);
    if (value >= SERIAL_1970 && value < SERIAL_END) {
        set_serial(out, value);
    } else if (value >= 1e8 && value < 1e11) {
        out->kind = IMPORT_DATE_INSTANT;
        out->instant_s = value_e6 / 1000000;
    }
}

/* ---- dates ---- */

static bool is_between_byte(char byte)
{
    return byte == '-' || byte == '/' || byte == '.' || byte == ' ' || byte == ',';
}

/* What stands between the parts of a date with a month's name: blanks, marks, "de". */
static void pass_between(struct rest *rest)
{
    while (is_between_byte(*rest->at))
        rest->at++;
    if (take_word(rest, "de") || take_word(rest, "del") || take_word(rest, "of"))
        pass_blanks(rest);
}

static int full_year(int year, int digits)
{
    if (digits > 2)
        return year;
    return year < 70 ? 2000 + year : 1900 + year;
}

/* Nov 25, 2026; the month's name has been taken. */
static bool take_after_month(struct rest *rest, int month, struct import_date *out)
{
    static const char *const endings[] = {"st", "nd", "rd", "th"};
    int day, year, digits;

    pass_between(rest);
    if (take_number(rest, &day) == 0)
        return false;
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
        if (take_word(rest, endings[i]))
            break;
    pass_between(rest);
    digits = take_number(rest, &year);
    if (digits != 2 && digits != 4)
        return false;
    set_known(out, full_year(year, digits), month, day);
    return true;
}

/* 25 Nov 2026 or 2026-Nov-25; the first number has been taken. */
static bool take_around_month(struct rest *rest, int first, int first_digits,
                              struct import_date *out)
{
    int month, last = 0, digits;

    pass_between(rest);
    month = take_month(rest);
    if (month == 0)
        return false;
    pass_between(rest);
    digits = take_number(rest, &last);
    if (first_digits == 4) {
        set_known(out, first, month, last);
        return digits == 1 || digits == 2;
    }
    set_known(out, full_year(last, digits), month, first);
    return digits == 2 || digits == 4;
}

/* Three numbers; the first has been taken and a mark stands next. */
static bool take_triple(struct rest *rest, int first, int first_digits,
                        struct import_date *out)
{
    char mark = *rest->at;
    int second, third = 0, digits;

    rest->at++;
    if (mark == '.')
        pass_blanks(rest); /* 25. 11. 2026 */
    if (take_number(rest, &second) == 0 || !take_byte(rest, mark))
        return false;
    if (mark == '.')
        pass_blanks(rest);
    digits = take_number(rest, &third);
    if (first_digits == 4) {
        set_known(out, first, second, third);
        return digits == 1 || digits == 2;
    }
    out->kind = IMPORT_DATE_TRIPLE;
    out->numbers[0] = first;
    out->numbers[1] = second;
    out->numbers[2] = third;
    out->year_is_short = digits == 2;
    out->has_dots = mark == '.';
    return first_digits <= 2 && (digits == 2 || digits == 4);
}

static bool take_date(struct rest *rest, struct import_date *out)
{
    int month = take_month(rest);
    int first, digits;
    const char *next;

    if (month != 0)
        return take_after_month(rest, month, out);
    digits = take_number(rest, &first);
    next = rest->at;
    if (digits == 0)
        return false;
    if (((*next == '-' || *next == '/' || *next == '.') && is_digit(next[1])) ||
        (*next == '.' && next[1] == ' ' && is_digit(next[2])))
        return take_triple(rest, first, digits, out);
    return take_around_month(rest, first, digits, out);
}

/* Blanks, "T", a comma, "um", "at", "a las" between date and time. */
static void pass_to_time(struct rest *rest)
{
    if (*rest->at == 't' && is_digit(rest->at[1])) {
        rest->at++;
        return;
    }
    take_byte(rest, ',');
    pass_blanks(rest);
    if (take_byte(rest, '-') || take_word(rest, "um") || take_word(rest, "at")) {
        pass_blanks(rest);
    } else if (rest->at[0] == 'a' && rest->at[1] == ' ') {
        rest->at += 2;
        take_word(rest, "las");
        take_word(rest, "la");
        pass_blanks(rest);
    }
}

/* The time after a date, and its offset, which makes an instant of both. */
static bool take_time_and_offset(struct rest *rest, struct import_date *out)
{
    int offset_s;

    pass_to_time(rest);
    if (*rest->at == '\0')
        return true;
    out->has_time = take_clock(rest, &out->second_of_day);
    if (!out->has_time)
        return false;
    pass_clock_word(rest);
    if (*rest->at == '\0')
        return true;
    if (!take_offset(rest, &offset_s) || *rest->at != '\0' ||
        out->kind != IMPORT_DATE_KNOWN || !out->is_day)
        return false;
    out->kind = IMPORT_DATE_INSTANT;
    out->instant_s = out->days * DAY_S + out->second_of_day - offset_s;
    return true;
}

/* Date and time up to the end of the cell. */
static bool take_whole(struct rest rest, struct import_date *out)
{
    return take_date(&rest, out) && take_time_and_offset(&rest, out);
}

/* Folds a cell without the blanks around; false when it is too long for a date. */
static bool fold_cell(const char *text, size_t length, char *cell, size_t *out_length)
{
    char *end;

    if (length >= CELL_SIZE - 2)
        return false;
    *out_length = import_fold(text, length, cell, CELL_SIZE);
    end = cell + *out_length;
    while (end > cell && (end[-1] == ' ' || end[-1] == '\t'))
        *--end = '\0';
    *out_length = (size_t)(end - cell);
    return true;
}

void import_date_read(const char *text, size_t length, struct import_date *out)
{
    char cell[CELL_SIZE];
    struct rest rest = {cell};

    *out = (struct import_date){.kind = IMPORT_DATE_BAD};
    while (length > 0 && (*text == ' ' || *text == '\t')) {
        text++;
        length--;
    }
    if (!fold_cell(text, length, cell, &length))
        return;
    if (length == 0) {
        out->kind = IMPORT_DATE_EMPTY;
        return;
    }
    if (strspn(cell, "0123456789.,") == length)
        read_number(cell, length, out);
    if (out->kind != IMPORT_DATE_BAD || take_whole(rest, out))
        return;
    pass_weekday(&rest);
    *out = (struct import_date){.kind = IMPORT_DATE_BAD};
    if (rest.at == cell || !take_whole(rest, out))
        *out = (struct import_date){.kind = IMPORT_DATE_BAD};
}

bool import_time_read(const char *text, size_t length, int *out_second_of_day)
{
    char cell[CELL_SIZE];
    struct rest rest = {cell};
    int number;
    int64_t value_e6;

    while (length > 0 && (*text == ' ' || *text == '\t')) {
        text++;
        length--;
    }
    if (!fold_cell(text, length, cell, &length) || length == 0)
        return false;
    if (strspn(cell, "0123456789") == 4 && length == 4 &&
        take_number(&rest, &number) == 4) {
        *out_second_of_day = number / 100 * 3600 + number % 100 * 60;
        return number / 100 <= 23 && number % 100 <= 59;
    }
    /* A spreadsheet's share of the day: 0.586805 is 14:05. */
    if ((cell[0] == '0' || cell[0] == '.') && (cell[1] == '.' || cell[1] == ',') &&
        length > 4 && decimal_read(cell, length, 0, &value_e6) == DECIMAL_OK) {
        *out_second_of_day = second_of_fraction(decimal_to_double(value_e6));
        return true;
    }
    if (!take_clock(&rest, out_second_of_day))
        return false;
    pass_clock_word(&rest);
    return *rest.at == '\0';
}

/* ---- the order of three numbers ---- */

bool import_date_days(const struct import_date *date, enum import_dates order,
                      int64_t *out_days)
{
    const int *n = date->numbers;
    int long_year = full_year(n[2], date->year_is_short ? 2 : 4);

    if (date->kind == IMPORT_DATE_KNOWN) {
        *out_days = date->days;
        return date->is_day;
    }
    switch (order) {
    case IMPORT_DATES_YMD:
        return date->year_is_short &&
               zone_date_days(full_year(n[0], 2), n[1], n[2], out_days);
    case IMPORT_DATES_DMY:
        return zone_date_days(long_year, n[1], n[0], out_days);
    case IMPORT_DATES_MDY:
        return zone_date_days(long_year, n[0], n[1], out_days);
    case IMPORT_DATES_AUTO:
        break;
    }
    return false;
}

void import_votes_add(struct import_votes *votes, const struct import_date *date,
                      int64_t today_days)
{
    if (date->kind != IMPORT_DATE_TRIPLE)
        return;
    votes->triples++;
    votes->dotted += date->has_dots;
    for (int order = IMPORT_DATES_YMD; order <= IMPORT_DATES_MDY; order++) {
        int64_t days;

        if (!import_date_days(date, (enum import_dates)order, &days))
            continue;
        votes->possible[order]++;
        votes->in_future[order] += days > today_days;
    }
}

enum import_dates import_votes_decide(const struct import_votes *votes,
                                      const char *zone_name, bool *out_guessed)
{
    const int64_t *possible = votes->possible;
    const int64_t *future = votes->in_future;
    enum import_dates likely;

    *out_guessed = false;
    if (votes->triples == 0)
        return IMPORT_DATES_YMD;
    /* Two-digit years in front are rare: only when nothing else is possible. */
    if (possible[IMPORT_DATES_DMY] == 0 && possible[IMPORT_DATES_MDY] == 0)
        return IMPORT_DATES_YMD;
    if (possible[IMPORT_DATES_DMY] != possible[IMPORT_DATES_MDY])
        return possible[IMPORT_DATES_DMY] > possible[IMPORT_DATES_MDY]
                   ? IMPORT_DATES_DMY
                   : IMPORT_DATES_MDY;
    *out_guessed = true;
    if (future[IMPORT_DATES_DMY] != future[IMPORT_DATES_MDY])
        return future[IMPORT_DATES_DMY] < future[IMPORT_DATES_MDY] ? IMPORT_DATES_DMY
                                                                   : IMPORT_DATES_MDY;
    likely =
        strncmp(zone_name, "America/", 8) == 0 ? IMPORT_DATES_MDY : IMPORT_DATES_DMY;
    return votes->dotted == votes->triples ? IMPORT_DATES_DMY : likely;
}
