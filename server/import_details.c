/* What an export says about single values: "ph method=strip resolution=0.2 over_range;
 * orp_mv confirmed". */
#include "import_private.h"

#include <string.h>

#include "decimal.h"

#define ITEM_SIZE 160

static bool take_word(const char *word, struct db_value *value)
{
    static const char method[] = "method=", step[] = "resolution=";

    if (strcmp(word, "over_range") == 0)
        value->over_range = true;
    else if (strcmp(word, "diluted") == 0)
        value->diluted = true;
    else if (strcmp(word, "confirmed") == 0)
        value->confirmed = true;
    else if (strcmp(word, "day_only") == 0)
        value->day_only = true;
    else if (strncmp(word, method, sizeof method - 1) == 0)
        return coil_method_from_key(word + sizeof method - 1, &value->method) == COIL_OK;
    else if (strncmp(word, step, sizeof step - 1) == 0)
        return decimal_read(word + sizeof step - 1, strlen(word + sizeof step - 1), '.',
                            &value->resolution_e6) == DECIMAL_OK &&
               value->resolution_e6 > 0;
    else
        return false;
    return true;
}

static struct db_value *find_value(struct db_reading *reading, const char *key)
{
    enum coil_quantity quantity;

    if (key == NULL || coil_quantity_from_key(key, &quantity) != COIL_OK)
        return NULL;
    for (size_t i = 0; i < reading->value_count; i++)
        if (reading->values[i].quantity == quantity)
            return &reading->values[i];
    return NULL;
}

/* One value's words; false when they make no sense. */
static bool take_item(const char *text, size_t length, struct db_reading *reading)
{
    char copy[ITEM_SIZE];
    char *rest = NULL;
    struct db_value *value;

    if (length >= sizeof copy)
        return false;
    memcpy(copy, text, length);
    copy[length] = '\0';
    value = find_value(reading, strtok_r(copy, " ", &rest));
    if (value == NULL)
        return false;
    for (char *word; (word = strtok_r(NULL, " ", &rest)) != NULL;)
        if (!take_word(word, value))
            return false;
    return true;
}

void import_details_read(const struct import_reader *reader, const struct csv_row *csv,
                         struct import_row *row)
{
    struct csv_field field;

    if (reader->plan.details < 0)
        return;
    field = csv->fields[reader->plan.details];
    import_trim(&field);
    while (field.length > 0) {
        const char *end = memchr(field.text, ';', field.length);
        size_t length = end == NULL ? field.length : (size_t)(end - field.text);
        size_t passed = length + (end != NULL);

        if (!take_item(field.text, length, &row->reading)) {
            import_refuse(row, "details_unreadable", "value_details",
                          "\"%.*s\" says nothing about a value of this line.",
                          (int)(length < 60 ? length : 60), field.text);
            return;
        }
        field.text += passed;
        field.length -= passed;
    }
}
