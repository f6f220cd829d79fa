#include "tests/support/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Far above any table of ours; keeps a wrong path from filling the memory. */
#define TABLE_FILE_MAX ((size_t)64 * 1024 * 1024)

struct head_line {
    char *key;
    char *value;
};

/* All strings point into text, which is cut up in place. */
struct table {
    char *text;
    struct head_line *head;
    size_t head_count;
    char **columns;
    size_t column_count;
    char **cells; /* row after row, column_count each */
    size_t cell_count;
    size_t *lines; /* one per row */
    size_t row_count;
};

/* Where the parser stands. */
struct cursor {
    char *at;
    char *end;
    size_t line;
};

/* A test program without memory has nothing to report: end it. */
static void *grow(void *memory, size_t count, size_t size)
{
    void *grown;

    /* Room is doubled: at 1, 2, 4 … elements. */
    if (count != 0 && (count & (count - 1)) != 0)
        return memory;
    grown = realloc(memory, (count == 0 ? 1 : 2 * count) * size);
    if (grown == NULL) {
        fputs("out of memory\n", stderr);
        exit(2);
    }
    return grown;
}

static char *trim(char *text)
{
    size_t length;

    while (*text == ' ' || *text == '\t')
        text++;
    length = strlen(text);
    while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == '\t' ||
                          text[length - 1] == '\r'))
        text[--length] = '\0';
    return text;
}

static int is_number(const char *text, double *out_value)
{
    char *end;
    double value = strtod(text, &end);

    if (end == text || *end != '\0')
        return 0;
    *out_value = value;
    return 1;
}

static void add_head_line(struct table *table, char *line)
{
    char *colon = strchr(line, ':');
    struct head_line entry;

    if (colon == NULL)
        return; /* an ordinary comment */
    *colon = '\0';
    entry.key = trim(line);
    entry.value = trim(colon + 1);
    table->head = grow(table->head, table->head_count, sizeof *table->head);
    table->head[table->head_count++] = entry;
}

/* Cuts the line at the cursor off and returns it; the cursor moves behind it. */
static char *take_line(struct cursor *cursor)
{
    char *line = cursor->at;
    char *newline = memchr(line, '\n', (size_t)(cursor->end - line));

    if (newline == NULL) {
        cursor->at = cursor->end;
    } else {
        *newline = '\0';
        cursor->at = newline + 1;
    }
    cursor->line++;
    return line;
}

/* Passes blank lines and comments; 0 at the end of the text. */
static int find_record(struct table *table, struct cursor *cursor)
{
    while (cursor->at < cursor->end) {
        char *at = cursor->at;

        while (*at == ' ' || *at == '\t' || *at == '\r')
            at++;
        if (*at != '#' && *at != '\n' && at != cursor->end)
            return 1;
        take_line(cursor);
        if (*at == '#')
            add_head_line(table, at + 1);
    }
    return 0;
}

/*
 * Takes a field in quotes; the cursor stands behind the opening one. Returns NULL when
 * the quote is not closed or is followed by more text. out_separator receives what
 * ended the field: ',', '\n', or '\0' at the end of the text.
 */
static char *take_quoted(struct cursor *cursor, char *out_separator)
{
    char *field = cursor->at;
    char *to = field;

    for (;;) {
        if (cursor->at >= cursor->end)
            return NULL;
        if (*cursor->at == '"') {
            cursor->at++;
            if (*cursor->at != '"')
                break;
        } else if (*cursor->at == '\n') {
            cursor->line++;
        }
        *to++ = *cursor->at++;
    }
    while (*cursor->at == ' ' || *cursor->at == '\t' || *cursor->at == '\r')
        cursor->at++;
    *out_separator = *cursor->at;
    *to = '\0';
    if (*out_separator != ',' && *out_separator != '\n' && *out_separator != '\0')
        return NULL;
    if (*out_separator != '\0')
        cursor->at++;
    return field;
}

static char *take_plain(struct cursor *cursor, char *out_separator)
{
    char *field = cursor->at;
    char *end = field + strcspn(field, ",\n");

    *out_separator = *end;
    cursor->at = *end == '\0' ? end : end + 1;
    *end = '\0';
    return trim(field);
}

/* One field; NULL with a message when a quote is wrong. */
static char *take_field(struct cursor *cursor, char *out_separator, char *message)
{
    size_t line = cursor->line;
    char *at = cursor->at;
    char *field;

    while (*at == ' ' || *at == '\t')
        at++;
    if (*at != '"')
        return take_plain(cursor, out_separator);
    cursor->at = at + 1;
    field = take_quoted(cursor, out_separator);
    if (field == NULL)
        snprintf(message, TABLE_MESSAGE_SIZE,
                 "line %zu: a quote is not closed, or text follows it", line);
    return field;
}

static int take_columns(struct table *table, struct cursor *cursor, char *message)
{
    char separator = ',';
    double number;

    cursor->line++;
    while (separator == ',') {
        char *name = take_field(cursor, &separator, message);

        if (name == NULL)
            return 0;
        if (*name == '\0' || is_number(name, &number)) {
            snprintf(message, TABLE_MESSAGE_SIZE,
                     "line %zu: \"%s\" cannot be the name of a column; the line of "
                     "column names is missing or wrong",
                     cursor->line, name);
            return 0;
        }
        if (table_has_column(table, name)) {
            snprintf(message, TABLE_MESSAGE_SIZE, "line %zu: column %s stands twice",
                     cursor->line, name);
            return 0;
        }
        table->columns = grow(table->columns, table->column_count, sizeof(char *));
        table->columns[table->column_count++] = name;
    }
    return 1;
}

static int take_row(struct table *table, struct cursor *cursor, char *message)
{
    char separator = ',';
    size_t count = 0;
    size_t line = ++cursor->line;

    while (separator == ',') {
        char *field = take_field(cursor, &separator, message);

        if (field == NULL)
            return 0;
        table->cells = grow(table->cells, table->cell_count, sizeof(char *));
        table->cells[table->cell_count++] = field;
        count++;
    }
    if (count != table->column_count) {
        snprintf(message, TABLE_MESSAGE_SIZE,
                 "line %zu: %zu fields where there are %zu column names", line, count,
                 table->column_count);
        return 0;
    }
    table->lines = grow(table->lines, table->row_count, sizeof *table->lines);
    table->lines[table->row_count++] = line;
    return 1;
}

static int fill(struct table *table, size_t length, char *message)
{
    struct cursor cursor = {table->text, table->text + length, 0};

    if (length >= 3 && memcmp(table->text, "\xEF\xBB\xBF", 3) == 0)
        cursor.at += 3;
    if (!find_record(table, &cursor)) {
        snprintf(message, TABLE_MESSAGE_SIZE, "the line of column names is missing");
        return 0;
    }
    if (!take_columns(table, &cursor, message))
        return 0;
    while (find_record(table, &cursor))
        if (!take_row(table, &cursor, message))
            return 0;
    if (table->row_count == 0) {
        snprintf(message, TABLE_MESSAGE_SIZE, "the table has no rows");
        return 0;
    }
    return 1;
}

struct table *table_parse(const char *text, size_t length, char *message)
{
    struct table *table;

    if (memchr(text, '\0', length) != NULL) {
        snprintf(message, TABLE_MESSAGE_SIZE, "not a text: it holds a NUL byte");
        return NULL;
    }
    table = calloc(1, sizeof *table);
    if (table == NULL || (table->text = malloc(length + 1)) == NULL) {
        free(table);
        snprintf(message, TABLE_MESSAGE_SIZE, "out of memory");
        return NULL;
    }
    memcpy(table->text, text, length);
    table->text[length] = '\0';
    if (!fill(table, length, message)) {
        table_destroy(table);
        return NULL;
    }
    return table;
}

struct table *table_load(const char *path, char *message)
{
    struct table *table = NULL;
    char *text = NULL;
    size_t length = 0;
    FILE *file = fopen(path, "rb");

    if (file == NULL) {
        snprintf(message, TABLE_MESSAGE_SIZE, "cannot be opened");
        return NULL;
    }
    for (size_t room = 65536; room <= TABLE_FILE_MAX; room *= 2) {
        char *larger = realloc(text, room);

        if (larger == NULL)
            break;
        text = larger;
        length += fread(text + length, 1, room - length, file);
        if (length < room)
            break;
    }
    if (ferror(file) || !feof(file))
        snprintf(message, TABLE_MESSAGE_SIZE, "cannot be read to its end");
    else
        table = table_parse(text, length, message);
    fclose(file);
    free(text);
    return table;
}

void table_destroy(struct table *table)
{
    if (table == NULL)
        return;
    free(table->lines);
    free(table->cells);
    free(table->columns);
    free(table->head);
    free(table->text);
    free(table);
}

size_t table_row_count(const struct table *table)
{
    return table->row_count;
}

size_t table_line(const struct table *table, size_t row)
{
    return row < table->row_count ? table->lines[row] : 0;
}

const char *table_head(const struct table *table, const char *key)
{
    for (size_t i = 0; i < table->head_count; i++)
        if (strcmp(table->head[i].key, key) == 0)
            return table->head[i].value;
    return NULL;
}

int table_head_complete(const struct table *table, char *message)
{
    static const char *const keys[] = {"title", "source", "kind", "units", "tolerance"};

    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        const char *value = table_head(table, keys[i]);

        if (value == NULL || *value == '\0') {
            snprintf(message, TABLE_MESSAGE_SIZE, "head line \"# %s:\" is missing",
                     keys[i]);
            return 0;
        }
    }
    return 1;
}

/* Index of a column, or column_count when there is none. */
static size_t column_index(const struct table *table, const char *column)
{
    size_t i;

    for (i = 0; i < table->column_count; i++)
        if (strcmp(table->columns[i], column) == 0)
            break;
    return i;
}

int table_has_column(const struct table *table, const char *column)
{
    return column_index(table, column) < table->column_count;
}

const char *table_text(const struct table *table, size_t row, const char *column)
{
    size_t index = column_index(table, column);

    if (row >= table->row_count || index >= table->column_count)
        return NULL;
    return table->cells[row * table->column_count + index];
}

enum table_cell table_number(const struct table *table, size_t row, const char *column,
                             double *out_value)
{
    const char *text = table_text(table, row, column);

    if (text == NULL)
        return TABLE_NO_COLUMN;
    if (*text == '\0')
        return TABLE_EMPTY;
    return is_number(text, out_value) ? TABLE_NUMBER : TABLE_NOT_NUMBER;
}
