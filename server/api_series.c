/* Columns for plotting. */
#include <stdio.h>
#include <string.h>

#include "api.h"
#include "api_common.h"

#define COLUMNS_DEFAULT 800

/* Between two values further apart than a value counts, nobody knows: a gap. */
static bool is_gap(int64_t earlier_s, int64_t later_s, int64_t step_s)
{
    return later_s - earlier_s > COIL_VALIDITY_S + step_s;
}

static cJSON *series_json(const struct db_series *series)
{
    cJSON *object = cJSON_CreateObject(), *time, *value;
    char text[32];
    size_t i;

    cJSON_AddNumberToObject(object, "step_s", (double)series->step_s);
    cJSON_AddNumberToObject(object, "facts", (double)series->facts);
    time = cJSON_AddArrayToObject(object, "time_s");
    value = cJSON_AddArrayToObject(object, "value");
    for (i = 0; i < series->count; i++) {
        if (i > 0 && is_gap(series->time_s[i - 1], series->time_s[i], series->step_s)) {
            cJSON_AddItemToArray(time,
                                 cJSON_CreateNumber((double)series->time_s[i - 1] + 1));
            cJSON_AddItemToArray(value, cJSON_CreateNull());
        }
        decimal_write(series->value_e6[i], text, sizeof text);
        cJSON_AddItemToArray(time, cJSON_CreateNumber((double)series->time_s[i]));
        cJSON_AddItemToArray(value, cJSON_CreateRaw(text));
    }
    return object;
}

struct series_wish {
    int64_t water_id, from, until, columns;
    enum coil_quantity quantities[COIL_QUANTITY_COUNT];
    size_t count;
};

static void read_values(const struct request *req, struct problem *problem,
                        struct series_wish *wish)
{
    const char *text = request_query(req, "values");
    char key[48];

    if (text == NULL) {
        problem_add(problem, "query_missing", "values", "Say which values.");
        return;
    }
    while (*text != '\0') {
        size_t length = strcspn(text, ",");
        enum coil_quantity quantity;

        snprintf(key, sizeof key, "%.*s", (int)(length < 47 ? length : 47), text);
        if (coil_quantity_from_key(key, &quantity) != COIL_OK ||
            wish->count == COIL_QUANTITY_COUNT) {
            problem_add(problem, "query_invalid", "values",
                        "values lists names of values, with commas between.");
            return;
        }
        wish->quantities[wish->count++] = quantity;
        text += length;
        text += *text == ',';
    }
}

static void read_wish(struct app *app, const struct request *req,
                      struct problem *problem, struct series_wish *wish)
{
    memset(wish, 0, sizeof *wish);
    wish->until = api_now(app);
    wish->columns = COLUMNS_DEFAULT;
    if (!api_query_integer(req, problem, "water", 1, INT64_MAX / 2, &wish->water_id) &&
        problem->count == 0)
        problem_add(problem, "query_missing", "water", "Say which water.");
    api_query_integer(req, problem, "until", 0, INT64_C(1) << 40, &wish->until);
    wish->from = wish->until - 30 * 86400;
    api_query_integer(req, problem, "from", 0, INT64_C(1) << 40, &wish->from);
    api_query_integer(req, problem, "columns", 10, 4000, &wish->columns);
    if (wish->from >= wish->until)
        problem_add(problem, "query_invalid", "from", "from must be before until.");
    read_values(req, problem, wish);
}

void api_series_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct series_wish wish;
    struct problem problem;
    cJSON *object, *all;
    size_t i;

    problem_init(&problem);
    problem.status = 400;
    read_wish(app, req, &problem, &wish);
    if (api_refused(out, &problem))
        return;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "water", (double)wish.water_id);
    cJSON_AddNumberToObject(object, "from", (double)wish.from);
    cJSON_AddNumberToObject(object, "until", (double)wish.until);
    all = cJSON_AddObjectToObject(object, "series");
    for (i = 0; i < wish.count; i++) {
        struct db_series series;

        if (!api_ok(out,
                    db_series(db, wish.water_id, wish.quantities[i], wish.from,
                              wish.until, (int)wish.columns, &series),
                    "water")) {
            cJSON_Delete(object);
            return;
        }
        cJSON_AddItemToObject(all, coil_quantity_info(wish.quantities[i])->key,
                              series_json(&series));
        db_series_finish(&series);
    }
    api_send(out, 200, object);
    if (request_query(req, "until") != NULL) /* else it ends now */
        api_tag(app, out, changes);
}
