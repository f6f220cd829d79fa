/* What a row says besides its values: when, how, by whom, and a note. */
#include "import_private.h"

#include <stdio.h>
#include <string.h>

#include "import_dates.h"
#include "import_names.h"

#define DAY_S INT64_C(86400)
#define FUTURE_S 120 /* clocks differ a little */

static int shown(const struct csv_field *field)
{
    return (int)(field->length < 40 ? field->length : 40);
}

static const struct csv_field *field_of(const struct csv_row *csv, int column)
{
    return column < 0 ? NULL : &csv->fields[column];
}

/* Second of the day: of the time column, else of the date cell, else -1. */
static int read_second(const struct import_reader *reader, const struct csv_row *csv,
                       const struct import_date *date, struct import_row *row)
{
    const struct csv_field *field = field_of(csv, reader->plan.time);
    struct csv_field trimmed;
    int second;

    if (field != NULL) {
        trimmed = *field;
        import_trim(&trimmed);
        if (trimmed.length > 0) {
            if (import_time_read(trimmed.text, trimmed.length, &second))
                return second;
            import_refuse(row, "time_unreadable", "time", "\"%.*s\" is not a time.",
                          shown(&trimmed), trimmed.text);
            return -1;
        }
    }
    return date->has_time ? date->second_of_day : -1;
}

/* The second of a doubled hour when the row would else step back in a file that runs
 * forward; the first one else. */
static int64_t choose(const struct import_reader *reader, int64_t first_s,
                      int64_t second_s)
{
    bool forward =
        reader->previous_count >= 2 && reader->previous_s >= reader->before_previous_s;

    return forward && first_s < reader->previous_s && second_s >= reader->previous_s
               ? second_s
               : first_s;
}

static void set_local(struct import_reader *reader, int64_t local_s, bool has_time,
                      struct import_row *row)
{
    int64_t first_s, second_s;
    enum zone_status status;

    if (reader->plan.date_is_utc) {
        row->reading.fact.at = local_s;
        return;
    }
    status = import_zone_instant(&reader->kept, local_s, &first_s, &second_s);
    if (status == ZONE_SKIPPED && !has_time) /* a day that starts at one o'clock */
        status =
            import_zone_instant(&reader->kept, local_s + 3600, &first_s, &second_s);
    if (status == ZONE_SKIPPED) {
        import_refuse(row, "time_skipped", "time",
                      "Clocks went forward over this time in %s: it does not exist.",
                      zone_name(reader->options->zone));
        return;
    }
    row->reading.fact.at = choose(reader, first_s, second_s);
    if (status == ZONE_TWICE && has_time) {
        row->doubtful = true; /* taken, but said */
        snprintf(row->field, sizeof row->field, "time");
        snprintf(row->detail, sizeof row->detail,
                 "Clocks went back: this time came twice. Taken as the %s one.",
                 row->reading.fact.at == first_s ? "first" : "second");
    }
}

static void read_date(struct import_reader *reader, const struct csv_row *csv,
                      struct import_row *row)
{
    const struct csv_field *field = &csv->fields[reader->plan.date];
    struct import_date date;
    int64_t days;
    int second;

    import_date_read(field->text, field->length, &date);
    if (date.kind == IMPORT_DATE_INSTANT) {
        row->reading.fact.at = date.instant_s;
        return;
    }
    if (date.kind == IMPORT_DATE_EMPTY) {
        import_refuse(row, "date_missing", "date", "This line has no date.");
        return;
    }
    if (date.kind == IMPORT_DATE_BAD ||
        !import_date_days(&date, reader->order, &days)) {
        import_refuse(row, "date_unreadable", "date", "\"%.*s\" is no date%s.",
                      shown(field), field->text,
                      reader->order == IMPORT_DATES_DMY   ? " with the day first"
                      : reader->order == IMPORT_DATES_MDY ? " with the month first"
                                                          : "");
        return;
    }
    second = read_second(reader, csv, &date, row);
    /* Without a time the reading counts from the start of its day: it is never taken
     * for newer than it may be. Its values say so: see import_details.c. */
    row->day_only = second < 0;
    if (row->code == NULL)
        set_local(reader, days * DAY_S + (second < 0 ? 0 : second), second >= 0, row);
}

void import_moment_read(struct import_reader *reader, const struct csv_row *csv,
                        struct import_row *row)
{
    int64_t at;

    read_date(reader, csv, row);
    if (row->code != NULL)
        return;
    at = row->reading.fact.at;
    if (at < 0) {
        import_refuse(row, "time_too_old", "date", "Dates before 1970 are not taken.");
        return;
    }
    if (at > reader->options->now_s + FUTURE_S) {
        import_refuse(row, "time_in_future", "date",
                      "The date must be today or in the past.");
        return;
    }
    reader->before_previous_s = reader->previous_s;
    reader->previous_s = at;
    if (reader->previous_count < 2)
        reader->previous_count++;
}

/*
 * A spreadsheet would run a text that starts with = + - @ TAB or CR, so exports put a '
 * before it (and before texts that look so already). Exactly that one is taken off.
 */
static size_t guard_length(const struct csv_field *field)
{
    size_t quotes = 0;

    while (quotes < field->length && field->text[quotes] == '\'')
        quotes++;
    return quotes > 0 && quotes < field->length &&
                   strchr("=+-@\t\r", field->text[quotes]) != NULL &&
                   field->text[quotes] != '\0'
               ? 1
               : 0;
}

static void read_text(const struct csv_row *csv, int column, const char *name,
                      char *out, size_t size, struct import_row *row)
{
    const struct csv_field *field = field_of(csv, column);
    struct csv_field text;
    size_t guard;

    if (field == NULL)
        return;
    text = *field;
    if (!text.is_quoted)
        import_trim(&text);
    guard = guard_length(&text);
    text.text += guard;
    text.length -= guard;
    if (csv_unquote(&text, out, size) >= size) {
        out[0] = '\0';
        import_refuse(row, "text_too_long", name, "At most %zu bytes are kept.",
                      size - 1);
    }
}

void import_texts_read(const struct import_reader *reader, const struct csv_row *csv,
                       struct import_row *row)
{
    const struct csv_field *field = field_of(csv, reader->plan.method);

    row->reading.method = reader->options->method;
    if (field != NULL) {
        struct csv_field trimmed = *field;

        import_trim(&trimmed);
        if (trimmed.length > 0 &&
            !import_method_find(trimmed.text, trimmed.length, &row->reading.method)) {
            import_refuse(row, "method_unknown", "method",
                          "\"%.*s\" is no method of testing that is known here.",
                          shown(&trimmed), trimmed.text);
            return;
        }
    }
    read_text(csv, reader->plan.by, "by", row->by, sizeof row->by, row);
    read_text(csv, reader->plan.note, "note", row->reading.fact.note,
              sizeof row->reading.fact.note, row);
}
