#include "recurrence_text.h"

#include <stdio.h>
#include <string.h>

static const char *const freqs[] = {"YEARLY", "MONTHLY", "WEEKLY", "DAILY"};
static const char *const weekdays[] = {"MO", "TU", "WE", "TH", "FR", "SA", "SU"};

enum part {
    PART_FREQ,
    PART_INTERVAL,
    PART_COUNT,
    PART_UNTIL,
    PART_WKST,
    PART_BYMONTH,
    PART_BYMONTHDAY,
    PART_BYDAY,
    PART_BYSETPOS,
    PART_KINDS
};

static const char *const parts[PART_KINDS] = {
    "FREQ",    "INTERVAL",   "COUNT", "UNTIL",    "WKST",
    "BYMONTH", "BYMONTHDAY", "BYDAY", "BYSETPOS"};

/* A piece of the text, not terminated. */
struct piece {
    const char *at;
    size_t length;
};

static int index_of(struct piece piece, const char *const *names, int count)
{
    for (int i = 0; i < count; i++)
        if (strlen(names[i]) == piece.length &&
            memcmp(names[i], piece.at, piece.length) == 0)
            return i;
    return -1;
}

/* Cuts off what stands before the mark; *rest goes on after it. */
static struct piece take(struct piece *rest, char mark)
{
    const char *end = memchr(rest->at, mark, rest->length);
    struct piece first = *rest;

    if (end == NULL) {
        rest->at += rest->length;
        rest->length = 0;
        return first;
    }
    first.length = (size_t)(end - rest->at);
    rest->length -= first.length + 1;
    rest->at = end + 1;
    return first;
}

/* A whole number, sign allowed when asked for. */
static bool number(struct piece piece, bool is_signed, int *out)
{
    int value = 0, sign = 1;
    size_t i = 0;

    if (is_signed && piece.length > 0 && (piece.at[0] == '-' || piece.at[0] == '+')) {
        sign = piece.at[0] == '-' ? -1 : 1;
        i = 1;
    }
    if (i == piece.length || piece.length - i > 8)
        return false;
    for (; i < piece.length; i++) {
        if (piece.at[i] < '0' || piece.at[i] > '9')
            return false;
        value = value * 10 + (piece.at[i] - '0');
    }
    *out = sign * value;
    return true;
}

static bool read_until(struct piece piece, struct coil_rule *rule)
{
    struct coil_date date;
    struct piece rest = piece;
    struct piece day = take(&rest, 'T');
    int all;

    if (day.length != 8 || !number(day, false, &all) ||
        (piece.length != 8 && piece.length != 15 && piece.length != 16))
        return false;
    date = (struct coil_date){all / 10000, all / 100 % 100, all % 100};
    rule->has_until = true;
    return coil_day_from_date(date, &rule->until_day) == COIL_OK;
}

static bool read_by_day(struct piece item, struct coil_rule *rule)
{
    struct piece name = {item.at + item.length - 2, 2};
    struct piece ordinal = {item.at, item.length - 2};
    struct coil_by_day *day = &rule->by_day[rule->by_day_count];
    int weekday, n = 0;

    if (item.length < 2 || rule->by_day_count == COIL_BY_DAY_MAX)
        return false;
    weekday = index_of(name, weekdays, 7);
    if (weekday < 0 || (ordinal.length > 0 && (!number(ordinal, true, &n) || n == 0)))
        return false;
    *day = (struct coil_by_day){(enum coil_weekday)weekday, n};
    rule->by_day_count++;
    return true;
}

/* One value of a list. */
static bool read_item(enum part part, struct piece item, struct coil_rule *rule)
{
    int n;

    if (part == PART_BYDAY)
        return read_by_day(item, rule);
    if (!number(item, part != PART_BYMONTH, &n))
        return false;
    if (part == PART_BYMONTH && n >= 1 && n <= 12)
        rule->months |= (uint16_t)(1u << n);
    else if (part == PART_BYMONTHDAY && n >= 1 && n <= 31)
        rule->month_days |= 1u << n;
    else if (part == PART_BYMONTHDAY && n <= -1 && n >= -31)
        rule->month_days_end |= 1u << -n;
    else if (part == PART_BYSETPOS && rule->set_pos_count < COIL_SET_POS_MAX)
        rule->set_pos[rule->set_pos_count++] = n;
    else
        return false;
    return true;
}

static bool read_value(enum part part, struct piece value, struct coil_rule *rule)
{
    int n;

    switch (part) {
    case PART_FREQ:
        n = index_of(value, freqs, 4);
        rule->freq = n < 0 ? COIL_YEARLY : (enum coil_freq)n;
        return n >= 0;
    case PART_INTERVAL:
        return number(value, false, &rule->interval) && rule->interval > 0;
    case PART_COUNT:
        return number(value, false, &rule->count) && rule->count > 0;
    case PART_UNTIL:
        return read_until(value, rule);
    case PART_WKST:
        n = index_of(value, weekdays, 7);
        rule->week_start = n < 0 ? COIL_MO : (enum coil_weekday)n;
        return n >= 0;
    default:
        break;
    }
    if (value.length == 0)
        return false;
    while (value.length > 0) {
        bool is_last = memchr(value.at, ',', value.length) == NULL;

        if (!read_item(part, take(&value, ','), rule) || (!is_last && value.length == 0))
            return false;
    }
    return true;
}

enum coil_status coil_rule_read(const char *text, struct coil_rule *rule)
{
    struct coil_rule made = {.interval = 1, .start_day = rule->start_day};
    struct piece rest = {text, strlen(text)};
    unsigned seen = 0;

    while (rest.length > 0) {
        struct piece value = take(&rest, ';');
        struct piece name;
        int part;

        if (memchr(value.at, '=', value.length) == NULL)
            return COIL_ERR_DOMAIN;
        name = take(&value, '=');
        part = index_of(name, parts, PART_KINDS);
        if (part < 0 || (seen & 1u << part) != 0 ||
            !read_value((enum part)part, value, &made))
            return COIL_ERR_DOMAIN;
        seen |= 1u << part;
    }
    if ((seen & 1u << PART_FREQ) == 0 || coil_rule_check(&made) != COIL_OK)
        return COIL_ERR_DOMAIN;
    *rule = made;
    return COIL_OK;
}

/* ---- writing ---- */

struct pen {
    char *out;
    int size, used;
};

static void put(struct pen *pen, const char *text)
{
    for (; *text != '\0' && pen->used + 1 < pen->size; text++)
        pen->out[pen->used++] = *text;
    if (pen->size > 0)
        pen->out[pen->used] = '\0';
}

static void put_number(struct pen *pen, const char *before, int n)
{
    char text[16];

    snprintf(text, sizeof text, "%d", n);
    put(pen, before);
    put(pen, text);
}

/* Set bits as a list; *is_first says whether the name has been written. */
static void put_bits(struct pen *pen, const char *name, uint32_t bits, int sign,
                     bool *is_first)
{
    for (int i = 1; i <= 31; i++) {
        if ((bits & 1u << i) == 0)
            continue;
        put_number(pen, *is_first ? name : ",", sign * i);
        *is_first = false;
    }
}

static void put_by_days(struct pen *pen, const struct coil_rule *rule)
{
    for (int i = 0; i < rule->by_day_count; i++) {
        put(pen, i == 0 ? ";BYDAY=" : ",");
        if (rule->by_day[i].ordinal != 0)
            put_number(pen, "", rule->by_day[i].ordinal);
        put(pen, weekdays[rule->by_day[i].weekday]);
    }
}

void coil_day_write(int32_t day, char out[9])
{
    struct coil_date date = coil_date_from_day(day);
    unsigned all = (unsigned)date.year % 10000 * 10000 + (unsigned)date.month * 100 +
                   (unsigned)date.day;

    snprintf(out, 9, "%08u", all % 100000000);
}

void coil_rule_write(const struct coil_rule *rule, char *out, int size)
{
    struct pen pen = {out, size, 0};
    bool is_first = true;
    char until[9];

    put(&pen, "FREQ=");
    put(&pen, freqs[rule->freq]);
    if (rule->interval != 1)
        put_number(&pen, ";INTERVAL=", rule->interval);
    if (rule->count > 0)
        put_number(&pen, ";COUNT=", rule->count);
    if (rule->has_until) {
        coil_day_write(rule->until_day, until);
        put(&pen, ";UNTIL=");
        put(&pen, until);
    }
    put_bits(&pen, ";BYMONTH=", rule->months, 1, &is_first);
    is_first = true;
    put_bits(&pen, ";BYMONTHDAY=", rule->month_days, 1, &is_first);
    put_bits(&pen, ";BYMONTHDAY=", rule->month_days_end, -1, &is_first);
    put_by_days(&pen, rule);
    for (int i = 0; i < rule->set_pos_count; i++)
        put_number(&pen, i == 0 ? ";BYSETPOS=" : ",", rule->set_pos[i]);
    if (rule->week_start != COIL_MO) {
        put(&pen, ";WKST=");
        put(&pen, weekdays[rule->week_start]);
    }
}
