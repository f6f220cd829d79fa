#include "csv.h"

#include <string.h>

void csv_init(struct csv *csv, const char *text, size_t length, char separator)
{
    *csv = (struct csv){
        .at = text, .end = text + length, .line = 1, .separator = separator};
}

static bool ends_line(char byte)
{
    return byte == '\n' || byte == '\r';
}

/* Passes one line end; CRLF is one. */
static void pass_line_end(struct csv *csv)
{
    if (*csv->at == '\r' && csv->at + 1 < csv->end && csv->at[1] == '\n')
        csv->at++;
    csv->at++;
    csv->line++;
}

static void take_plain(struct csv *csv, struct csv_field *field)
{
    const char *at = csv->at;
    const char separator = csv->separator;

    while (at < csv->end && *at != separator && !ends_line(*at))
        at++;
    field->text = csv->at;
    field->length = (size_t)(at - csv->at);
    field->has_doubled = field->is_quoted = false;
    csv->at = at;
}

/* The cursor stands on the opening quote. False when the closing one is missing. */
static bool take_quoted(struct csv *csv, struct csv_field *field)
{
    const char *at = csv->at + 1;

    field->text = at;
    field->has_doubled = false;
    field->is_quoted = true;
    for (;; at++) {
        if (at >= csv->end)
            return false;
        if (*at == '"') {
            if (at + 1 >= csv->end || at[1] != '"')
                break;
            field->has_doubled = true;
            at++;
        } else if (*at == '\n' ||
                   (*at == '\r' && (at + 1 == csv->end || at[1] != '\n'))) {
            csv->line++;
        }
    }
    field->length = (size_t)(at - field->text);
    csv->at = at + 1;
    return true;
}

static bool take_field(struct csv *csv, struct csv_row *row, struct csv_field *field)
{
    const char *at = csv->at;
    struct csv_field rest;

    while (at < csv->end && *at == ' ')
        at++; /* some programs write a blank after each separator */
    if (at == csv->end || *at != '"') {
        take_plain(csv, field);
        return true;
    }
    csv->at = at;
    if (!take_quoted(csv, field))
        return false;
    take_plain(csv, &rest);
    for (size_t i = 0; i < rest.length; i++)
        if (rest.text[i] != ' ')
            row->has_odd_quote = true;
    return true;
}

enum csv_status csv_next(struct csv *csv, struct csv_row *row)
{
    struct csv_field spare;

    if (csv->at >= csv->end)
        return CSV_END;
    row->line = csv->line;
    row->text = csv->at;
    row->count = 0;
    row->has_odd_quote = false;
    for (;;) {
        struct csv_field *field =
            row->count < CSV_FIELDS_MAX ? &row->fields[row->count] : &spare;

        if (!take_field(csv, row, field))
            return CSV_QUOTE_OPEN;
        row->count++;
        if (csv->at >= csv->end || *csv->at != csv->separator)
            break;
        csv->at++;
    }
    row->length = (size_t)(csv->at - row->text);
    if (csv->at < csv->end)
        pass_line_end(csv);
    return CSV_ROW;
}

size_t csv_unquote(const struct csv_field *field, char *out, size_t size)
{
    size_t length = 0;

    for (size_t i = 0; i < field->length; i++, length++) {
        if (length + 1 < size)
            out[length] = field->text[i];
        if (field->has_doubled && field->text[i] == '"')
            i++; /* the second of two */
    }
    if (size > 0)
        out[length < size ? length : size - 1] = '\0';
    return length;
}
