#include "export_csv.h"

#include <stdio.h>
#include <string.h>

#include "decimal.h"

static const char *const machines[] = {"pump", "burner"};
static const char *const origins[] = {"logged", "schedule", "instrument"};
static const char *const entries[] = {"pool", "skimmer", "before_heater",
                                      "after_heater"};

/* One line that grows. EXPORT_LINE_SIZE holds the longest: every text is bounded by its
 * size in db.h, and quotes at most double it. */
struct line {
    struct export_csv *csv;
    char *out;
    size_t used;
    bool has_field;
};

static void put(struct line *line, const char *bytes, size_t length)
{
    if (length > EXPORT_LINE_SIZE - line->used)
        length = EXPORT_LINE_SIZE - line->used;
    memcpy(line->out + line->used, bytes, length);
    line->used += length;
}

static void begin_field(struct line *line)
{
    if (line->has_field)
        put(line, &line->csv->separator, 1);
    line->has_field = true;
}

/* A text that a spreadsheet would take for a formula, or one that looks guarded. */
static bool needs_guard(const char *text)
{
    text += strspn(text, "'");
    return *text != '\0' && strchr("=+-@\t\r", *text) != NULL;
}

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

/* Also where the ends would be trimmed, and where either separator stands inside. */
static bool needs_quotes(const char *text)
{
    size_t length = strlen(text);

    return strpbrk(text, "\",;\t\r\n") != NULL ||
           (length > 0 && (is_blank(text[0]) || is_blank(text[length - 1]))) ||
           strstr(text, "\xC2\xA0") != NULL; /* no-break space */
}

static void put_text(struct line *line, const char *text)
{
    bool quoted = needs_quotes(text);

    begin_field(line);
    if (quoted)
        put(line, "\"", 1);
    if (needs_guard(text))
        put(line, "'", 1);
    for (const char *quote; quoted && (quote = strchr(text, '"')) != NULL;
         text = quote + 1) {
        put(line, text, (size_t)(quote - text));
        put(line, "\"\"", 2);
    }
    put(line, text, strlen(text));
    if (quoted)
        put(line, "\"", 1);
}

/* Three decimals after a comma could be thousands, so a fourth is written. */
static void put_number(struct line *line, int64_t value_e6)
{
    char text[32];
    size_t length = decimal_write(value_e6, text, sizeof text - 1);
    char *point = strchr(text, '.');

    begin_field(line);
    if (point != NULL && line->csv->decimal == ',') {
        *point = ',';
        if (strlen(point) == 4)
            text[length++] = '0';
    }
    put(line, text, length);
}

static void put_number_or_nothing(struct line *line, bool is_known, int64_t value_e6)
{
    if (is_known)
        put_number(line, value_e6);
    else
        begin_field(line);
}

/* ---- instants ---- */

/* The date of an instant in a zone; the second of its local day is kept beside it. Facts
 * of one day, which mostly follow each other, cost one look at the zone. */
static int second_of_day(struct export_day *day, const struct zone *zone, int64_t at)
{
    struct civil_time civil;
    int second, unused;

    if (at >= day->from_s && at < day->until_s)
        return (int)(at - day->from_s);
    zone_civil(zone, at, &civil);
    snprintf(day->date, sizeof day->date, "%04d-%02d-%02d", civil.year, civil.month,
             civil.day);
    second = civil.hour * 3600 + civil.minute * 60 + civil.second;
    day->from_s = at - second;
    day->until_s = day->from_s + 86400;
    if (!zone_steady(zone, day->from_s, day->until_s, &unused))
        day->until_s = day->from_s; /* clocks change in it: nothing is kept */
    return second;
}

static void put_two(char *out, int number)
{
    out[0] = (char)('0' + number / 10);
    out[1] = (char)('0' + number % 10);
}

static void put_instant(struct line *line, struct export_day *day,
                        const struct zone *zone, int64_t at, char between,
                        const char *end)
{
    int second = second_of_day(day, zone, at);
    char clock[] = " 00:00:00";

    clock[0] = between;
    put_two(clock + 1, second / 3600);
    put_two(clock + 4, second / 60 % 60);
    put_two(clock + 7, second % 60);
    begin_field(line);
    put(line, day->date, strlen(day->date));
    put(line, clock, sizeof clock - 1);
    put(line, end, strlen(end));
}

/* "2026-11-25T13:05:00Z", and "2026-11-25 14:05:00" for people. */
static void put_time(struct line *line, int64_t at)
{
    struct export_csv *csv = line->csv;

    put_instant(line, &csv->utc_day, csv->utc, at, 'T', "Z");
    put_instant(line, &csv->site_day, csv->site, at, ' ', "");
}

static void put_id(struct line *line, int64_t id)
{
    put_number_or_nothing(line, id != 0, id * 1000000);
}

static void put_flag(struct line *line, bool flag)
{
    put_text(line, flag ? "true" : "false");
}

/* ---- readings ---- */

/* "ph method=strip resolution=0.2 over_range; orp_mv confirmed" */
static void put_details(struct line *line, const struct db_reading *reading)
{
    char text[3072], number[32];
    size_t used = 0;

    text[0] = '\0';
    for (size_t i = 0; i < reading->value_count; i++) {
        const struct db_value *value = &reading->values[i];
        bool has_method = value->method != reading->method;
        bool has_step = value->resolution_e6 != 0;

        if (!has_method && !has_step && !value->over_range && !value->diluted &&
            !value->confirmed && !value->day_only)
            continue;
        decimal_write(value->resolution_e6, number, sizeof number);
        used += (size_t)snprintf(
            text + used, sizeof text - used, "%s%s%s%s%s%s%s%s%s%s", used > 0 ? "; " : "",
            coil_quantity_info(value->quantity)->key, has_method ? " method=" : "",
            has_method ? coil_method_key(value->method) : "",
            has_step ? " resolution=" : "", has_step ? number : "",
            value->over_range ? " over_range" : "", value->diluted ? " diluted" : "",
            value->confirmed ? " confirmed" : "", value->day_only ? " day_only" : "");
    }
    put_text(line, text);
}

static void put_reading(struct line *line, const struct db_reading *reading)
{
    size_t next = 0;

    put_text(line, coil_method_key(reading->method));
    put_text(line, reading->fact.actor);
    put_text(line, reading->fact.note);
    put_details(line, reading);
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        bool is_there = next < reading->value_count &&
                        reading->values[next].quantity == (enum coil_quantity)i;

        put_number_or_nothing(line, is_there,
                              is_there ? reading->values[next].amount_e6 : 0);
        next += is_there;
    }
}

/* ---- the others ---- */

static void put_dose(struct line *line, const struct db_dose *dose)
{
    const struct coil_product_info *info = coil_product_info(dose->product);

    put_text(line, info != NULL ? info->key : "other");
    put_number(line, dose->amount_e6);
    put_text(line, info != NULL && info->is_liquid ? "mL" : "g");
    put_number_or_nothing(line, dose->strength_e6 != 0, dose->strength_e6);
    put_text(line, entries[dose->entry]);
    put_flag(line, dose->super_chlorination);
    put_text(line, dose->fact.actor);
    put_text(line, dose->fact.note);
}

static void put_run(struct line *line, const struct db_run *run)
{
    put_time(line, run->ended_at);
    put_text(line, machines[run->machine]);
    put_id(line, run->heater_id);
    put_text(line, origins[run->origin]);
    put_text(line, run->fact.actor);
    put_text(line, run->fact.note);
}

static void put_state(struct line *line, const struct db_heater_state *state)
{
    put_text(line, coil_heater_state_key(state->state));
    put_number_or_nothing(line, state->bypass_percent_open >= 0,
                          (int64_t)state->bypass_percent_open * 1000000);
    put_text(line, state->fact.actor);
    put_text(line, state->fact.note);
}

/* ---- lines ---- */

#define X(name, number, key, words, unit, plo, phi, lo, hi) key,
static const char *const reading_names[] = {"method",        "by", "note",
                                            "value_details", COIL_QUANTITY_LIST(X) NULL};
#undef X
static const char *const dose_names[] = {
    "product", "amount", "unit", "strength_percent", "entry", "super_chlorination",
    "by",      "note",   NULL};
static const char *const run_names[] = {"ended_at", "ended_local", "machine", "heater",
                                        "origin",   "by",          "note",    NULL};
static const char *const state_names[] = {"state", "bypass_percent_open", "by", "note",
                                          NULL};

static const char *const *names_of(enum export_what what)
{
    static const char *const *const names[] = {reading_names, dose_names, run_names,
                                               state_names};

    return names[what];
}

size_t export_csv_names(struct export_csv *csv, char *out)
{
    struct line line = {.csv = csv, .out = out};

    if (csv->for_spreadsheets)
        put(&line, "\xEF\xBB\xBF", 3);
    put_text(&line, "at");
    put_text(&line, "local_time");
    for (const char *const *name = names_of(csv->what); *name != NULL; name++)
        put_text(&line, *name);
    put(&line, "\r\n", 2);
    return line.used;
}

size_t export_csv_line(struct export_csv *csv, const void *fact, char *out)
{
    struct line line = {.csv = csv, .out = out};

    put_time(&line, ((const struct db_fact *)fact)->at);
    switch (csv->what) {
    case EXPORT_READINGS:
        put_reading(&line, fact);
        break;
    case EXPORT_DOSES:
        put_dose(&line, fact);
        break;
    case EXPORT_RUNS:
        put_run(&line, fact);
        break;
    case EXPORT_HEATER_STATES:
        put_state(&line, fact);
        break;
    }
    put(&line, "\r\n", 2);
    return line.used;
}
