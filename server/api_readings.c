/* Readings: values by name, each with how it was found. */
#include <stdio.h>
#include <string.h>

#include "api.h"
#include "api_facts.h"

static const char *const methods[] = {
#define X(name, number, key, words) key,
    COIL_METHOD_LIST(X)
#undef X
        NULL};

/* Members that a value's details may have. */
static void read_details(struct form *details, struct db_value *value)
{
    const char *key = coil_quantity_info(value->quantity)->key;
    struct form one;
    int method = value->method;

    if (!form_nested(details, key, FORM_OPTIONAL, &one))
        return;
    if (form_choice(&one, "method", methods, FORM_OPTIONAL, &method))
        value->method = (enum coil_method)method;
    form_e6(&one, "resolution", 1e-6, 1000.0, FORM_OPTIONAL, &value->resolution_e6);
    form_flag(&one, "over_range", FORM_OPTIONAL, &value->over_range);
    form_flag(&one, "diluted", FORM_OPTIONAL, &value->diluted);
    form_flag(&one, "day_only", FORM_OPTIONAL, &value->day_only);
    form_close(&one);
}

static bool is_confirmed(const cJSON *confirmed, const char *key)
{
    const cJSON *item;

    cJSON_ArrayForEach(item, confirmed)
        if (cJSON_IsString(item) && strcmp(item->valuestring, key) == 0)
            return true;
    return false;
}

static void check_range(struct problem *problem, const cJSON *confirmed,
                        const struct coil_quantity_info *info, struct db_value *value)
{
    char field[64], number[32];

    snprintf(field, sizeof field, "values.%s", info->key);
    decimal_write(value->amount_e6, number, sizeof number);
    switch (coil_quantity_range(value->quantity, decimal_to_double(value->amount_e6))) {
    case COIL_RANGE_IMPOSSIBLE:
        problem_add(problem, "value_impossible", field,
                    "%s %s cannot be: any water has from %g to %g %s.", info->words,
                    number, info->possible_low, info->possible_high, info->unit);
        break;
    case COIL_RANGE_DOUBTFUL:
        value->confirmed = is_confirmed(confirmed, info->key);
        if (!value->confirmed)
            problem_add(problem, "value_doubtful", field, "%s really %s %s?",
                        info->words, number, info->unit);
        break;
    case COIL_RANGE_PLAUSIBLE:
        break;
    }
}

/* Kept when a person insists; the permit counts neither: lib/permit.c. */
static void check_chlorine(struct problem *problem, const cJSON *confirmed,
                           struct db_reading *reading)
{
    struct db_value *free = db_reading_free_above_total(reading);
    const char *key = coil_quantity_info(COIL_FREE_CHLORINE)->key;

    if (free == NULL)
        return;
    free->confirmed = is_confirmed(confirmed, key);
    if (!free->confirmed)
        problem_add(problem, "value_doubtful", "values.free_chlorine_mg_per_l",
                    "Free chlorine is more than total chlorine. One of them must be "
                    "wrong: test both again, with fresh reagents. Is it really so?");
}

static void read_values(struct form *form, struct db_reading *reading)
{
    const cJSON *confirmed = form_member(form, "confirmed");
    struct form values, details;
    bool has_details;
    int quantity;

    if (!form_nested(form, "values", FORM_REQUIRED, &values))
        return;
    has_details = form_nested(form, "details", FORM_OPTIONAL, &details);
    for (quantity = 0; quantity < COIL_QUANTITY_COUNT; quantity++) {
        const struct coil_quantity_info *info = coil_quantity_info(quantity);
        struct db_value *value = &reading->values[reading->value_count];

        *value = (struct db_value){.quantity = quantity, .method = reading->method};
        if (!form_e6(&values, info->key, -1e9, 1e9, FORM_OPTIONAL, &value->amount_e6))
            continue;
        if (has_details)
            read_details(&details, value);
        check_range(form->problem, confirmed, info, value);
        reading->value_count++;
    }
    if (has_details)
        form_close(&details);
    form_close(&values);
    check_chlorine(form->problem, confirmed, reading);
    if (reading->value_count == 0 && form->problem->count == 0)
        problem_add(form->problem, "no_value", "values",
                    "A reading needs at least one value.");
}

static void read_reading(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_reading *reading = out;
    struct db_water water;
    int method = COIL_METHOD_UNKNOWN;

    (void)app;
    form_integer(form, "water", 1, INT64_MAX / 2, FORM_REQUIRED, &reading->water_id);
    if (reading->water_id != 0 &&
        db_water_get(db, reading->water_id, &water) == DB_NOT_FOUND)
        problem_add(form->problem, "not_found", "water", "There is no such water.");
    form_choice(form, "method", methods, FORM_OPTIONAL, &method);
    reading->method = (enum coil_method)method;
    read_values(form, reading);
}

static void write_details(cJSON *details, const struct db_value *value)
{
    cJSON *one =
        cJSON_AddObjectToObject(details, coil_quantity_info(value->quantity)->key);

    cJSON_AddStringToObject(one, "method", coil_method_key(value->method));
    if (value->resolution_e6 != 0)
        api_add_e6(one, "resolution", value->resolution_e6);
    else
        cJSON_AddNumberToObject(one, "resolution",
                                coil_method_resolution(value->method, value->quantity));
    cJSON_AddBoolToObject(one, "over_range", value->over_range);
    cJSON_AddBoolToObject(one, "diluted", value->diluted);
    cJSON_AddBoolToObject(one, "confirmed", value->confirmed);
    cJSON_AddBoolToObject(one, "day_only", value->day_only);
}

static void write_reading(cJSON *object, const void *fact)
{
    const struct db_reading *reading = fact;
    cJSON *values, *details;
    size_t i;

    cJSON_AddNumberToObject(object, "water", (double)reading->water_id);
    cJSON_AddStringToObject(object, "method", coil_method_key(reading->method));
    values = cJSON_AddObjectToObject(object, "values");
    details = cJSON_AddObjectToObject(object, "details");
    for (i = 0; i < reading->value_count; i++) {
        const struct db_value *value = &reading->values[i];

        api_add_e6(values, coil_quantity_info(value->quantity)->key, value->amount_e6);
        write_details(details, value);
    }
}

static void empty_reading(void *fact)
{
    ((struct db_reading *)fact)->value_count = 0;
}

static enum db_status add(struct db *db, void *fact)
{
    return db_reading_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_reading_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_reading_list(db, window, out, out_count);
}

const struct fact_kind fact_readings = {
    "reading", "readings", "readings", "water", sizeof(struct db_reading), add, get, list,
    read_reading, write_reading, empty_reading};

FACT_HANDLERS(readings, fact_readings)
