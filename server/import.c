/*
 * Reading a whole file: is it a table at all, how is it written, which line names the
 * columns, and then its rows one by one.
 */
#include "import.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "import_dates.h"
#include "import_private.h"
#include "utf8.h"

#define DETAIL_SIZE 200
#define DAY_S INT64_C(86400)
#define HEADER_ROWS 12   /* the line of names is one of the first */
#define SAMPLE_ROWS 1000 /* enough to know how a file is written … */

/* ---- shared ---- */

void import_refuse(struct import_row *row, const char *code, const char *field,
                   const char *format, ...)
{
    va_list arguments;

    if (row->code != NULL)
        return;
    row->code = code;
    row->doubtful = false;
    snprintf(row->field, sizeof row->field, "%s", field);
    va_start(arguments, format);
    vsnprintf(row->detail, sizeof row->detail, format, arguments);
    va_end(arguments);
    utf8_trim_end(row->detail);
}

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

void import_trim(struct csv_field *field)
{
    while (field->length > 0 && is_blank(field->text[0])) {
        field->text++;
        field->length--;
    }
    while (field->length > 0 && is_blank(field->text[field->length - 1]))
        field->length--;
    /* No-break spaces, as pages and spreadsheets put them. */
    while (field->length >= 2 && memcmp(field->text, "\xC2\xA0", 2) == 0) {
        field->text += 2;
        field->length -= 2;
    }
    while (field->length >= 2 &&
           memcmp(field->text + field->length - 2, "\xC2\xA0", 2) == 0)
        field->length -= 2;
}

static enum import_fault say(char *out_detail, enum import_fault fault,
                             const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static enum import_fault say(char *out_detail, enum import_fault fault,
                             const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(out_detail, DETAIL_SIZE, format, arguments);
    va_end(arguments);
    return fault;
}

/* ---- what kind of file ---- */

static const struct {
    const char *start;
    size_t length;
    const char *what;
} other_files[] = {
    {"PK\x03\x04", 4, "a spreadsheet or a zip archive"},
    {"\xD0\xCF\x11\xE0", 4, "an older spreadsheet"},
    {"\x1F\x8B", 2, "a gzip archive"},
    {"\x89PNG", 4, "an image"},
    {"\xFF\xD8\xFF", 3, "an image"},
    {"GIF8", 4, "an image"},
    {"%PDF", 4, "a PDF"},
    {"BZh", 3, "a bzip2 archive"},
    {"\xFD"
     "7zXZ",
     5, "an xz archive"},
    {"7z\xBC\xAF", 4, "a 7z archive"},
    {"SQLite format 3", 15, "a database"},
    {"<?xml", 5, "an XML file"},
    {"<!DOCTYPE", 9, "a web page"},
    {"<html", 5, "a web page"},
};

static enum import_fault check_kind(const char *text, size_t length, char *out_detail)
{
    for (size_t i = 0; i < sizeof other_files / sizeof other_files[0]; i++)
        if (length >= other_files[i].length &&
            memcmp(text, other_files[i].start, other_files[i].length) == 0)
            return say(out_detail, IMPORT_NOT_CSV,
                       "This is %s, not a table of text. Open it where it was made and "
                       "save it as CSV.",
                       other_files[i].what);
    if (length >= 2 &&
        (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0))
        return say(out_detail, IMPORT_NOT_UTF8,
                   "The file is written in UTF-16. Save it as CSV UTF-8.");
    return IMPORT_OK;
}

static int64_t line_of(const char *text, size_t offset)
{
    int64_t line = 1;

    for (size_t i = 0; i < offset; i++)
        line += text[i] == '\n' || (text[i] == '\r' && text[i + 1] != '\n');
    return line;
}

/* Eight bytes at a time while they are ASCII. */
static bool find_bad_utf8(const char *text, size_t length, size_t *out_offset)
{
    const uint64_t high_bits = UINT64_C(0x8080808080808080);
    size_t i = 0;

    while (i < length) {
        uint64_t eight;
        size_t step;

        if (i + sizeof eight <= length) {
            memcpy(&eight, text + i, sizeof eight);
            if ((eight & high_bits) == 0) {
                i += sizeof eight;
                continue;
            }
        }
        step = utf8_step(text + i, length - i);
        if (step == 0) {
            *out_offset = i;
            return true;
        }
        i += step;
    }
    return false;
}

static enum import_fault check_text(const char *text, size_t length, char *out_detail)
{
    enum import_fault fault = check_kind(text, length, out_detail);
    const char *nul;
    size_t offset;

    if (fault != IMPORT_OK)
        return fault;
    nul = memchr(text, '\0', length);
    if (nul != NULL)
        return say(out_detail, IMPORT_NUL_BYTE,
                   "Line %lld holds a NUL byte: this is not a table of text.",
                   (long long)line_of(text, (size_t)(nul - text)));
    if (find_bad_utf8(text, length, &offset))
        return say(out_detail, IMPORT_NOT_UTF8,
                   "Line %lld is not in UTF-8. Save the file as CSV UTF-8.",
                   (long long)line_of(text, offset));
    return IMPORT_OK;
}

/* ---- the line of names ---- */

static bool is_empty_row(const struct csv_row *row)
{
    for (size_t i = 0; i < row->count && i < CSV_FIELDS_MAX; i++) {
        struct csv_field field = row->fields[i];

        import_trim(&field);
        if (field.length > 0)
            return false;
    }
    return true;
}

/* "sep=;" is a spreadsheet's own first line. */
static bool is_separator_line(const struct csv *csv, char *out_separator)
{
    const char *at = csv->at;

    if (csv->end - at < 5 || strncasecmp(at, "sep=", 4) != 0 ||
        (csv->end - at > 5 && at[5] != '\r' && at[5] != '\n'))
        return false;
    *out_separator = at[4];
    return true;
}

/* Where the names stand for one separator. */
struct names_found {
    int score;
    struct csv csv; /* stands before the line of names */
    size_t columns;
};

static void look_for_names(struct csv csv, struct names_found *out)
{
    struct csv_row row;

    *out = (struct names_found){.score = -1};
    for (int i = 0; i < HEADER_ROWS && out->score < 2; i++) {
        struct csv before = csv;
        int score;

        if (csv_next(&csv, &row) != CSV_ROW)
            return;
        if (is_empty_row(&row)) {
            i--;
            continue;
        }
        score = import_header_score(&row);
        if (score > out->score)
            *out = (struct names_found){score, before, row.count};
    }
}

/* The separator under which the names make most sense. */
static void find_names(const char *text, size_t length, char wanted,
                       struct names_found *out_best)
{
    static const char separators[] = {',', ';', '\t'};
    struct csv csv;
    char said = wanted;
    struct csv_row row;

    csv_init(&csv, text, length, ',');
    if (is_separator_line(&csv, &said)) {
        csv.separator = '\n';
        csv_next(&csv, &row);
    }
    *out_best = (struct names_found){.score = -1};
    for (size_t i = 0; i < sizeof separators; i++) {
        struct names_found found;

        csv.separator = wanted != 0 ? wanted : said != 0 ? said : separators[i];
        look_for_names(csv, &found);
        if (found.score > out_best->score ||
            (found.score == out_best->score && found.columns > out_best->columns))
            *out_best = found;
    }
}

/* A row of dates and numbers where names should stand. */
static bool holds_values(const struct csv_row *row)
{
    for (size_t i = 0; i < row->count && i < CSV_FIELDS_MAX; i++) {
        struct import_date date;

        import_date_read(row->fields[i].text, row->fields[i].length, &date);
        if (date.kind != IMPORT_DATE_BAD && date.kind != IMPORT_DATE_EMPTY)
            return true;
    }
    return false;
}

/* Leaves csv behind the line of names. */
static enum import_fault read_names(const char *text, size_t length,
                                    struct import_reader *reader,
                                    struct import_dialect *dialect, struct csv *csv,
                                    char *out_detail)
{
    struct names_found found;
    struct csv_row row;

    find_names(text, length, reader->options->separator, &found);
    if (found.score < 0) {
        struct csv whole;

        csv_init(&whole, text, length, ',');
        if (csv_next(&whole, &row) == CSV_QUOTE_OPEN)
            return say(out_detail, IMPORT_QUOTE_OPEN,
                       "A quote that opens on line %lld never ends.",
                       (long long)row.line);
        return say(out_detail, IMPORT_EMPTY, "The file is empty.");
    }
    *csv = found.csv;
    csv_next(csv, &row);
    dialect->separator = csv->separator;
    if (found.score == 0 && holds_values(&row))
        return say(out_detail, IMPORT_NO_HEADER,
                   "Line %lld holds values where the names of the columns should be. "
                   "Put a line such as Date,pH,Free chlorine first.",
                   (long long)row.line);
    return import_header_read(&row, reader->options, dialect, &reader->plan,
                              out_detail);
}

/* ---- how it is written ---- */

static int64_t today(const struct import_options *options)
{
    struct civil_time civil;
    int64_t days = 0;

    zone_civil(options->zone, options->now_s, &civil);
    zone_date_days(civil.year, civil.month, civil.day, &days);
    return days;
}

static void sample_row(const struct import_reader *reader, const struct csv_row *row,
                       int64_t today_days, struct import_votes *votes,
                       struct import_marks *marks)
{
    struct import_date date;

    if ((size_t)reader->plan.date < row->count) {
        const struct csv_field *field = &row->fields[reader->plan.date];

        import_date_read(field->text, field->length, &date);
        import_votes_add(votes, &date, today_days);
    }
    for (size_t i = 0; i < reader->plan.value_count; i++)
        if ((size_t)reader->plan.values[i].column < row->count)
            import_marks_add(marks, &row->fields[reader->plan.values[i].column]);
}

/* Looks at rows until the order of dates and the decimal mark are settled; at all of
 * them when they never are. */
static void learn(struct import_reader *reader, struct import_dialect *dialect,
                  struct csv csv)
{
    const struct import_options *options = reader->options;
    struct import_votes votes = {0};
    struct import_marks marks = {0};
    struct csv_row row;
    int64_t today_days = today(options);
    bool guessed = false;
    enum import_dates order = IMPORT_DATES_AUTO;
    char decimal = '.';

    for (int64_t i = 0; csv_next(&csv, &row) == CSV_ROW; i++) {
        sample_row(reader, &row, today_days, &votes, &marks);
        if (i % SAMPLE_ROWS != SAMPLE_ROWS - 1)
            continue;
        import_votes_decide(&votes, zone_name(options->zone), &guessed);
        import_marks_decide(&marks, &reader->comma_may_group);
        if (!guessed && !reader->comma_may_group)
            break;
    }
    order = import_votes_decide(&votes, zone_name(options->zone), &guessed);
    decimal = import_marks_decide(&marks, &reader->comma_may_group);
    if (options->dates != IMPORT_DATES_AUTO ||
        reader->plan.declared != IMPORT_DATES_AUTO) {
        order = options->dates != IMPORT_DATES_AUTO ? options->dates
                                                    : reader->plan.declared;
        guessed = false;
    }
    if (options->decimal != 0) {
        decimal = options->decimal;
        reader->comma_may_group = false;
    }
    reader->order = dialect->dates = order;
    reader->decimal = dialect->decimal = decimal;
    dialect->dates_guessed = guessed;
}

/* ---- rows ---- */

/* Puts a row back to empty without touching the values past value_count: they are
 * written whole when used. */
static void clear_row(struct import_row *row, const struct csv_row *csv)
{
    row->line = csv->line;
    row->text = csv->text;
    row->text_length = csv->length;
    row->code = NULL;
    row->field[0] = row->detail[0] = row->by[0] = '\0';
    row->doubtful = row->day_only = false;
    row->reading.value_count = 0;
    row->reading.fact.at = 0;
    row->reading.fact.note[0] = '\0';
}

static void read_row(struct import_reader *reader, const struct csv_row *csv,
                     size_t columns, struct import_row *row)
{
    clear_row(row, csv);
    if (csv->has_odd_quote) {
        import_refuse(row, "quote_misplaced", "",
                      "Text follows a closing quote. Double the quotes inside a text.");
        return;
    }
    if (csv->count != columns) {
        import_refuse(row, "row_ragged", "", "%zu fields where the names have %zu.",
                      csv->count, columns);
        return;
    }
    import_texts_read(reader, csv, row);
    if (row->code == NULL)
        import_moment_read(reader, csv, row);
    if (row->code == NULL)
        import_values_read(reader, csv, row);
    for (size_t i = 0; i < row->reading.value_count; i++)
        row->reading.values[i].day_only = row->day_only;
    if (row->code == NULL)
        import_details_read(reader, csv, row);
    if (row->code == NULL)
        import_values_compare(row);
}

static enum import_fault read_rows(struct import_reader *reader,
                                   const struct import_dialect *dialect, struct csv csv,
                                   import_take take, void *context, char *out_detail)
{
    struct csv_row csv_row;
    struct import_row row;
    enum csv_status status;

    memset(&row, 0, sizeof row);
    while ((status = csv_next(&csv, &csv_row)) == CSV_ROW) {
        if (is_empty_row(&csv_row))
            continue;
        read_row(reader, &csv_row, dialect->column_count, &row);
        if (!take(context, &row))
            return IMPORT_OK;
    }
    if (status == CSV_QUOTE_OPEN)
        return say(out_detail, IMPORT_QUOTE_OPEN,
                   "A quote that opens on line %lld never ends.",
                   (long long)csv_row.line);
    return IMPORT_OK;
}

enum import_fault import_read(const uint8_t *bytes, size_t length,
                              const struct import_options *options,
                              struct import_dialect *out_dialect, import_take take,
                              void *context, char *out_detail)
{
    const char *text = (const char *)bytes;
    struct import_reader reader = {.options = options, .kept = {.zone = options->zone}};
    struct csv csv;
    enum import_fault fault;

    memset(out_dialect, 0, sizeof *out_dialect);
    out_detail[0] = '\0';
    if (length == 0)
        return say(out_detail, IMPORT_EMPTY, "The file is empty.");
    fault = check_text(text, length, out_detail);
    if (fault != IMPORT_OK)
        return fault;
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        out_dialect->bom = true;
        text += 3;
        length -= 3;
    }
    fault = read_names(text, length, &reader, out_dialect, &csv, out_detail);
    if (fault != IMPORT_OK)
        return fault;
    learn(&reader, out_dialect, csv);
    return read_rows(&reader, out_dialect, csv, take, context, out_detail);
}
