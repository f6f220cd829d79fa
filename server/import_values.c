/* Cells with numbers: signs of range, units, decimal marks, limits. */
#include "import_private.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "decimal.h"
#include "import_dates.h"

#define CELL_SIZE 64

/* A value cell, taken apart. */
struct cell {
    char copy[CELL_SIZE]; /* for cells with doubled quotes */
    char range;           /* '<', '>' or 0 */
    const char *number;
    size_t number_length;
    const char *unit; /* what follows the number */
    size_t unit_length;
};

/* Words for "not measured". */
static bool is_nothing(const char *text, size_t length)
{
    static const char *const words[] = {
        "n/a", "n.a.", "na", "-", "--", "\xE2\x80\x93", "\xE2\x80\x94", "k.a.", "s/d"};
    char folded[16];

    if (length == 0)
        return true;
    if (length > 8 || (*text >= '0' && *text <= '9'))
        return false;
    import_fold(text, length, folded, sizeof folded);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcmp(words[i], folded) == 0)
            return true;
    return false;
}

static bool is_of_number(const char *text, size_t length, size_t *out_step)
{
    char byte = *text;

    *out_step = 1;
    if ((byte >= '0' && byte <= '9') || byte == '.' || byte == ',' || byte == '-' ||
        byte == '+')
        return true;
    *out_step = 3;
    return length >= 3 && memcmp(text, "\xE2\x88\x92", 3) == 0; /* minus */
}

/* "<0.1", ">8.2", "<=0.1", "≤0.1", "≥ 8.2". */
static void take_range(struct csv_field *rest, struct cell *cell)
{
    size_t step = 0;

    if (rest->length >= 1 && (*rest->text == '<' || *rest->text == '>')) {
        cell->range = *rest->text;
        step = rest->length >= 2 && rest->text[1] == '=' ? 2 : 1;
    } else if (rest->length >= 3 && memcmp(rest->text, "\xE2\x89\xA4", 3) == 0) {
        cell->range = '<';
        step = 3;
    } else if (rest->length >= 3 && memcmp(rest->text, "\xE2\x89\xA5", 3) == 0) {
        cell->range = '>';
        step = 3;
    }
    rest->text += step;
    rest->length -= step;
    import_trim(rest);
}

static void split(struct csv_field rest, struct cell *cell)
{
    size_t step;

    take_range(&rest, cell);
    cell->number = rest.text;
    while (rest.length > 0 && is_of_number(rest.text, rest.length, &step)) {
        rest.text += step;
        rest.length -= step;
    }
    cell->number_length = (size_t)(rest.text - cell->number);
    import_trim(&rest);
    cell->unit = rest.text;
    cell->unit_length = rest.length;
}

/* One to three digits, a mark, exactly three digits: 3,200 may be three thousand. */
static bool may_be_thousands(const char *text, size_t length, size_t mark)
{
    return length == mark + 4 && mark >= 1 && mark <= 3 && text[0] != '0';
}

void import_marks_add(struct import_marks *marks, const struct csv_field *field)
{
    struct csv_field rest = *field;
    struct cell cell = {.range = 0};
    size_t mark = 0, count = 0;

    import_trim(&rest);
    split(rest, &cell);
    for (size_t i = 0; i < cell.number_length; i++) {
        if (cell.number[i] == ',' || cell.number[i] == '.') {
            mark = i;
            count++;
        }
    }
    if (count != 1)
        return;
    if (cell.number[mark] == ',') {
        marks->commas++;
        marks->commas_as_thousands +=
            may_be_thousands(cell.number, cell.number_length, mark);
    } else {
        marks->points++;
        marks->points_as_thousands +=
            may_be_thousands(cell.number, cell.number_length, mark);
    }
}

/* Only a cell that cannot be thousands says what the mark means. */
char import_marks_decide(const struct import_marks *marks, bool *out_comma_may_group)
{
    int64_t sure_commas = marks->commas - marks->commas_as_thousands;
    int64_t sure_points = marks->points - marks->points_as_thousands;

    *out_comma_may_group = false;
    if (sure_commas > sure_points)
        return ',';
    if (sure_points > 0 || marks->commas == 0 || marks->points > 0)
        return '.';
    *out_comma_may_group = true;
    return ',';
}

static bool refuse_number(struct import_row *row, const struct import_reader *reader,
                          const char *key, const struct cell *cell,
                          enum decimal_status status)
{
    int length = (int)(cell->number_length < 30 ? cell->number_length : 30);

    if (status == DECIMAL_TWO_SEPARATORS)
        import_refuse(row, "value_two_separators", key,
                      "\"%.*s\" has more than one comma or point.", length,
                      cell->number);
    else if (status == DECIMAL_TOO_LARGE)
        import_refuse(row, "value_impossible", key, "\"%.*s\" is far too large.",
                      length, cell->number);
    else if (memchr(cell->number, reader->decimal == ',' ? '.' : ',',
                    cell->number_length) != NULL)
        import_refuse(row, "value_not_a_number", key,
                      "\"%.*s\" cannot be read: this file writes decimals with a %s.",
                      length, cell->number, reader->decimal == ',' ? "comma" : "point");
    else
        import_refuse(row, "value_not_a_number", key, "\"%.*s%.*s\" is not a number.",
                      length, cell->number,
                      (int)(cell->unit_length < 30 ? cell->unit_length : 30),
                      cell->unit);
    return false;
}

/* The number in the quantity's own unit. A unit in the cell wins over the heading's. */
static bool read_amount(const struct import_reader *reader, const struct cell *cell,
                        enum coil_quantity quantity, struct import_scale scale,
                        struct import_row *row, int64_t *out_amount_e6)
{
    const char *key = coil_quantity_info(quantity)->key;
    int64_t number_e6;
    enum decimal_status status =
        decimal_read(cell->number, cell->number_length, reader->decimal, &number_e6);

    if (status != DECIMAL_OK)
        return refuse_number(row, reader, key, cell, status);
    if (reader->comma_may_group && memchr(cell->number, ',', cell->number_length)) {
        import_refuse(row, "value_ambiguous", key,
                      "\"%.*s\" may be thousands or a decimal: say which mark the file "
                      "uses for decimals.",
                      (int)cell->number_length, cell->number);
        return false;
    }
    if (cell->unit_length > 0) {
        enum import_unit_fit fit =
            import_unit_find(cell->unit, cell->unit_length, quantity, &scale);
        bool is_ph = quantity == COIL_PH && cell->unit_length == 2 &&
                     strncasecmp(cell->unit, "pH", 2) == 0;

        if (fit == IMPORT_UNIT_NONE && !is_ph)
            return refuse_number(row, reader, key, cell, DECIMAL_NOT_A_NUMBER);
        if (fit == IMPORT_UNIT_UNFIT) {
            import_refuse(row, "unit_wrong", key, "The unit %.*s does not fit %s.",
                          (int)cell->unit_length, cell->unit,
                          coil_quantity_info(quantity)->words);
            return false;
        }
    }
    if (import_unit_convert(&scale, number_e6, out_amount_e6))
        return true;
    import_refuse(row, "value_impossible", key, "\"%.*s\" is impossible.",
                  (int)cell->number_length, cell->number);
    return false;
}

/* What a test shows below its scale is somewhere between nothing and there. */
static bool has_zero_below(enum coil_quantity quantity)
{
    return quantity != COIL_PH && quantity != COIL_ORP && quantity != COIL_WATER_TEMP;
}

/*
 * "<0.1" is kept as 0 with a step of 0.1. Where 0 is not next to the scale's end (pH,
 * temperature, redox potential) it is refused: no number would be safe. ">8.2" is kept
 * as 8.2 and marked as beyond the scale.
 */
static bool apply_range(const struct cell *cell, struct db_value *value,
                        struct import_row *row)
{
    if (cell->range == '>') {
        value->over_range = true;
    } else if (cell->range == '<' && has_zero_below(value->quantity)) {
        value->resolution_e6 = value->amount_e6;
        value->amount_e6 = 0;
    } else if (cell->range == '<') {
        import_refuse(row, "value_below_scale",
                      coil_quantity_info(value->quantity)->key,
                      "A %s below the scale of the test cannot be kept. Write the "
                      "lowest value it can be, or leave it out.",
                      coil_quantity_info(value->quantity)->words);
        return false;
    }
    return true;
}

static bool check_range(const struct db_value *value, struct import_row *row)
{
    const struct coil_quantity_info *info = coil_quantity_info(value->quantity);
    enum coil_range range =
        coil_quantity_range(value->quantity, decimal_to_double(value->amount_e6));
    char text[24];

    if (range == COIL_RANGE_PLAUSIBLE)
        return true;
    decimal_write(value->amount_e6, text, sizeof text);
    if (range == COIL_RANGE_IMPOSSIBLE) {
        import_refuse(row, "value_impossible", info->key, "%s %s%s%s is impossible.",
                      info->words, text, info->unit[0] != '\0' ? " " : "", info->unit);
        return false;
    }
    if (!row->doubtful) {
        row->doubtful = true;
        snprintf(row->field, sizeof row->field, "%s", info->key);
        snprintf(row->detail, sizeof row->detail, "%s %s%s%s is unusual.", info->words,
                 text, info->unit[0] != '\0' ? " " : "", info->unit);
    }
    return true;
}

static bool read_value(const struct import_reader *reader, size_t index,
                       struct csv_field field, struct import_row *row)
{
    enum coil_quantity quantity = reader->plan.values[index].quantity;
    struct cell cell = {.range = 0};
    struct db_value *value = &row->reading.values[row->reading.value_count];

    if (field.has_doubled) { /* rare: 7.4"" */
        size_t length = csv_unquote(&field, cell.copy, sizeof cell.copy);

        field = (struct csv_field){cell.copy,
                                   length < CELL_SIZE ? length : CELL_SIZE - 1, false};
    }
    import_trim(&field);
    if (is_nothing(field.text, field.length))
        return true;
    split(field, &cell);
    *value = (struct db_value){.quantity = quantity, .method = row->reading.method};
    if (!read_amount(reader, &cell, quantity, reader->plan.values[index].scale, row,
                     &value->amount_e6) ||
        !apply_range(&cell, value, row) || !check_range(value, row))
        return false;
    row->reading.value_count++;
    return true;
}

void import_values_read(const struct import_reader *reader, const struct csv_row *csv,
                        struct import_row *row)
{
    for (size_t i = 0; i < reader->plan.value_count; i++) {
        const struct csv_field *field = &csv->fields[reader->plan.values[i].column];

        if (!read_value(reader, i, *field, row))
            return;
    }
    if (row->reading.value_count == 0)
        import_refuse(row, "row_without_values", "", "This line holds no value.");
}

void import_values_compare(struct import_row *row)
{
    if (row->doubtful || db_reading_free_above_total(&row->reading) == NULL)
        return;
    row->doubtful = true;
    snprintf(row->field, sizeof row->field, "%s",
             coil_quantity_info(COIL_FREE_CHLORINE)->key);
    snprintf(row->detail, sizeof row->detail,
             "Free chlorine is more than total chlorine; the permit counts neither.");
}
