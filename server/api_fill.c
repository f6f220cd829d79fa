/* The fill water's own values, kept per water: what a plan needs to replace water. */
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "fill_values.h"

/* In the order of enum db_fill_name. */
static const struct {
    enum coil_quantity quantity;
    enum form_need need;
} members[DB_FILL_VALUE_COUNT] = {
    {COIL_PH, FORM_REQUIRED},
    {COIL_TOTAL_ALKALINITY, FORM_REQUIRED},
    {COIL_CALCIUM_HARDNESS, FORM_OPTIONAL},
    {COIL_CYANURIC_ACID, FORM_OPTIONAL},
    {COIL_FREE_CHLORINE, FORM_OPTIONAL},
    {COIL_SALT, FORM_OPTIONAL},
    {COIL_BORATE, FORM_OPTIONAL},
    {COIL_WATER_TEMP, FORM_OPTIONAL},
    {COIL_COPPER, FORM_OPTIONAL},
    {COIL_IRON, FORM_OPTIONAL},
};

void fill_values_read(struct form *form, struct db_fill_value out[DB_FILL_VALUE_COUNT])
{
    for (int i = 0; i < DB_FILL_VALUE_COUNT; i++) {
        const struct coil_quantity_info *info = coil_quantity_info(members[i].quantity);

        out[i].is_known =
            form_e6(form, info->key, info->possible_low, info->possible_high,
                    members[i].need, &out[i].value_e6);
    }
}

cJSON *fill_values_json(const struct db_fill_value values[DB_FILL_VALUE_COUNT])
{
    cJSON *object = cJSON_CreateObject();

    for (int i = 0; i < DB_FILL_VALUE_COUNT; i++)
        if (values[i].is_known)
            api_add_e6(object, coil_quantity_info(members[i].quantity)->key,
                       values[i].value_e6);
    return object;
}

static double value_of(const struct db_fill_value *value, double otherwise)
{
    return value->is_known ? decimal_to_double(value->value_e6) : otherwise;
}

bool fill_values_composition(const struct db_fill_value values[DB_FILL_VALUE_COUNT],
                             double pool_temp_c, struct coil_composition *out)
{
    if (!values[DB_FILL_PH].is_known || !values[DB_FILL_TOTAL_ALKALINITY].is_known)
        return false;
    *out = (struct coil_composition){
        .ph = value_of(&values[DB_FILL_PH], 0),
        .total_alkalinity_mg_per_l_caco3 =
            value_of(&values[DB_FILL_TOTAL_ALKALINITY], 0),
        .calcium_hardness_mg_per_l_caco3 =
            value_of(&values[DB_FILL_CALCIUM_HARDNESS], 0),
        .cyanuric_acid_mg_per_l = value_of(&values[DB_FILL_CYANURIC_ACID], 0),
        .chlorine_mg_per_l = value_of(&values[DB_FILL_FREE_CHLORINE], 0),
        .salt_mg_per_l_nacl = value_of(&values[DB_FILL_SALT], 0),
        .borate_mg_per_l_b = value_of(&values[DB_FILL_BORATE], 0),
        .water_temp_c = value_of(&values[DB_FILL_WATER_TEMP], pool_temp_c),
    };
    return true;
}

static cJSON *fill_json(const struct db_fill_water *fill)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("fill", fill->water_id, fill->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "water", (double)fill->water_id);
    cJSON_AddNumberToObject(object, "version", (double)fill->version);
    cJSON_AddStringToObject(object, "etag", etag);
    api_add_id_or_null(object, "changed_at", fill->at);
    if (fill->values[DB_FILL_PH].is_known)
        cJSON_AddItemToObject(object, "values", fill_values_json(fill->values));
    else
        cJSON_AddNullToObject(object, "values");
    return object;
}

void api_fill_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_fill_water fill;

    (void)app;
    if (!api_ok(out, db_fill_get(db, req->id, &fill), "water"))
        return;
    api_send(out, 200, fill_json(&fill));
    config_etag("fill", fill.water_id, fill.version, out->etag, sizeof out->etag);
}

/* Reads the body; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct db_fill_water *fill)
{
    struct problem problem;
    struct form form, values;
    enum db_status actor = DB_OK;

    memset(fill, 0, sizeof *fill);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &fill->actor_id);
        if (form_nested(&form, "values", FORM_OPTIONAL, &values)) {
            fill_values_read(&values, fill->values);
            form_close(&values);
        }
    }
    form_close(&form);
    fill->at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

void api_fill_put(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_fill_water old, fill;
    char etag[48];

    if (!api_ok(out, db_fill_get(db, req->id, &old), "water"))
        return;
    config_etag("fill", old.water_id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, fill_json(&old)) ||
        !read_body(app, db, req, out, &fill))
        return;
    fill.water_id = old.water_id;
    fill.version = old.version;
    if (api_ok(out, db_fill_put(db, &fill), "water"))
        config_answer(app, db, req, out, 200, fill.actor_id, "fill", fill.water_id,
                      fill.version, fill_json(&old), fill_json(&fill));
}
