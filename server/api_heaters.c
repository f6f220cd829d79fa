/* Heaters and their limits. A changed limit is a new version: permits of the past keep
 * the limits of their time. */
#include <math.h>
#include <string.h>

#include "api.h"
#include "api_config.h"

#define HEATERS_MAX 8
#define VERSIONS_MAX 200

static const char *const fuels[] = {"natural_gas", "propane", "heat_pump", "electric",
                                    NULL};
static const char *const metals[] = {"unknown",   "copper",   "cupronickel",
                                     "stainless", "titanium", NULL};
static const char *const bypasses[] = {"none", "full", "part_open", NULL};
static const char *const sources[] = {"common practice", "manual", "own", "published",
                                      NULL};

/* What a limit may be: outside, it is a slip of the pen. */
static const struct {
    double low, high;
} limit_ranges[COIL_LIMIT_COUNT] = {{6.5, 7.8}, {7.4, 8.6}, {0.5, 20}, {0.5, 40},
                                    {20, 45}};

static cJSON *heater_json(const struct db_heater *heater)
{
    cJSON *object = cJSON_CreateObject(), *waters;
    char etag[48];
    size_t i;

    config_etag("heater", heater->id, heater->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "id", (double)heater->id);
    cJSON_AddNumberToObject(object, "version", (double)heater->version);
    cJSON_AddStringToObject(object, "etag", etag);
    cJSON_AddNumberToObject(object, "changed_at", (double)heater->at);
    cJSON_AddStringToObject(object, "name", heater->name);
    waters = cJSON_AddArrayToObject(object, "waters");
    for (i = 0; i < heater->water_count; i++)
        cJSON_AddItemToArray(waters, cJSON_CreateNumber((double)heater->water_ids[i]));
    cJSON_AddStringToObject(object, "fuel", fuels[heater->fuel]);
    cJSON_AddStringToObject(object, "metal", metals[heater->metal]);
    cJSON_AddStringToObject(object, "bypass", coil_bypass_key(heater->bypass));
    if (heater->bypass_usual_percent < 0)
        cJSON_AddNullToObject(object, "bypass_usual_percent");
    else
        cJSON_AddNumberToObject(object, "bypass_usual_percent",
                                heater->bypass_usual_percent);
    api_add_e6_or_null(object, "input_w", heater->input_w_e6);
    api_add_e6_or_null(object, "efficiency_percent", heater->efficiency_percent_e6);
    api_add_e6_or_null(object, "flow_m3_per_h", heater->flow_m3_per_h_e6);
    api_add_e6_or_null(object, "film_rise_k", heater->film_rise_k_e6);
    cJSON_AddItemToObject(object, "limits", config_limits_json(heater->limits));
    return object;
}

void api_heaters_list(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct db_heater heaters[HEATERS_MAX];
    cJSON *object, *array;
    size_t count = 0, i;

    (void)req;
    if (!api_ok(out, db_heater_list(db, heaters, HEATERS_MAX, &count), "heater"))
        return;
    object = cJSON_CreateObject();
    array = cJSON_AddArrayToObject(object, "heaters");
    for (i = 0; i < count; i++)
        cJSON_AddItemToArray(array, heater_json(&heaters[i]));
    api_send(out, 200, object);
    api_tag(app, out, changes);
}

void api_heaters_get(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_heater heater;

    (void)app;
    if (!api_ok(out, db_heater_get(db, req->id, &heater), "heater"))
        return;
    api_send(out, 200, heater_json(&heater));
    config_etag("heater", heater.id, heater.version, out->etag, sizeof out->etag);
}

void api_heaters_versions(struct app *app, struct db *db, const struct request *req,
                          struct reply *out)
{
    const uint64_t changes = api_changes(app);
    static struct db_heater versions[VERSIONS_MAX]; /* the one HTTP thread's */
    cJSON *object, *array;
    size_t count = 0, i;

    if (!api_ok(out, db_heater_versions(db, req->id, versions, VERSIONS_MAX, &count),
                "heater"))
        return;
    object = cJSON_CreateObject();
    array = cJSON_AddArrayToObject(object, "versions");
    for (i = 0; i < count; i++) {
        cJSON *one = cJSON_CreateObject();

        cJSON_AddNumberToObject(one, "version", (double)versions[i].version);
        cJSON_AddNumberToObject(one, "at", (double)versions[i].at);
        cJSON_AddItemToObject(one, "limits", config_limits_json(versions[i].limits));
        cJSON_AddItemToArray(array, one);
    }
    api_send(out, 200, object);
    api_tag(app, out, changes);
}

static void read_waters(struct db *db, struct form *form, struct db_heater *heater)
{
    const cJSON *array = form_member(form, "waters"), *item;
    struct db_water water;

    if (!cJSON_IsArray(array) || cJSON_GetArraySize(array) < 1 ||
        cJSON_GetArraySize(array) > DB_HEATER_WATERS_MAX) {
        problem_add(form->problem, array == NULL ? "member_missing" : "wrong_type",
                    "waters", "List the waters that the heater warms, 1 to %d of them.",
                    DB_HEATER_WATERS_MAX);
        return;
    }
    cJSON_ArrayForEach(item, array)
    {
        double id = cJSON_IsNumber(item) ? item->valuedouble : 0.0;

        if (!(id >= 1.0 && id < 1e15) || floor(id) != id ||
            db_water_get(db, (int64_t)id, &water) != DB_OK) {
            problem_add(form->problem, "not_found", "waters",
                        "One of these waters does not exist.");
            return;
        }
        heater->water_ids[heater->water_count++] = (int64_t)id;
    }
}

static void read_limit(struct form *limits, int name, struct coil_limit *limit)
{
    const char *key = coil_limit_key(name);
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(limits->object, key);
    struct form one;
    int64_t value_e6 = 0;
    int source = COIL_COMMON_PRACTICE;

    *limit = coil_limit_default(name);
    if (cJSON_IsNull(member)) {
        form_member(limits, key);
        if (name != COIL_LIMIT_PH_HIGH)
            problem_add(limits->problem, "member_missing", key,
                        "This limit protects the heater and cannot be left out.");
        limit->is_set = false;
        return;
    }
    if (!form_nested(limits, key, FORM_OPTIONAL, &one))
        return;
    form_e6(&one, "value", limit_ranges[name].low, limit_ranges[name].high,
            FORM_REQUIRED, &value_e6);
    form_choice(&one, "source", sources, FORM_REQUIRED, &source);
    form_close(&one);
    limit->is_set = true;
    limit->value = decimal_to_double(value_e6);
    limit->source = (enum coil_limit_source)source;
}

static void read_limits(struct form *form, struct db_heater *heater)
{
    struct form limits;
    int name;

    for (name = 0; name < COIL_LIMIT_COUNT; name++)
        heater->limits[name] = coil_limit_default(name);
    if (!form_nested(form, "limits", FORM_OPTIONAL, &limits))
        return;
    for (name = 0; name < COIL_LIMIT_COUNT; name++)
        read_limit(&limits, name, &heater->limits[name]);
    form_close(&limits);
}

static void read_bypass(struct form *form, struct db_heater *heater)
{
    int64_t percent = -1;
    int index = 0;

    form_choice(form, "bypass", bypasses, FORM_REQUIRED, &index);
    heater->bypass = (enum coil_bypass)index;
    form_integer(form, "bypass_usual_percent", 1, 99, FORM_OPTIONAL, &percent);
    heater->bypass_usual_percent = (int)percent;
    if (percent >= 0 && heater->bypass != COIL_BYPASS_PART_OPEN)
        problem_add(form->problem, "member_unknown", "bypass_usual_percent",
                    "Only a bypass that is normally part open has a usual position.");
}

static void read_heater(struct db *db, struct form *form, struct db_heater *heater)
{
    int fuel = DB_NATURAL_GAS, metal = DB_METAL_UNKNOWN;

    form_text(form, "name", FORM_REQUIRED, heater->name, sizeof heater->name);
    read_waters(db, form, heater);
    form_choice(form, "fuel", fuels, FORM_OPTIONAL, &fuel);
    heater->fuel = (enum db_fuel)fuel;
    form_choice(form, "metal", metals, FORM_OPTIONAL, &metal);
    heater->metal = (enum db_metal)metal;
    read_bypass(form, heater);
    form_e6(form, "input_w", 500, 2e6, FORM_OPTIONAL, &heater->input_w_e6);
    /* A heat pump gives several times what it takes. */
    form_e6(form, "efficiency_percent", 10, 1000, FORM_OPTIONAL,
            &heater->efficiency_percent_e6);
    form_e6(form, "flow_m3_per_h", 0.1, 200, FORM_OPTIONAL, &heater->flow_m3_per_h_e6);
    form_e6(form, "film_rise_k", 1, 50, FORM_OPTIONAL, &heater->film_rise_k_e6);
    read_limits(form, heater);
}

/* Reads the body; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct db_heater *heater)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    memset(heater, 0, sizeof *heater);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &heater->actor_id);
        read_heater(db, &form, heater);
    }
    form_close(&form);
    heater->at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

/* A new heater is in line until somebody says otherwise, also for a time before it was
 * set up: the assumption stands at instant 0, which means "never said". */
static enum db_status add_first_state(struct db *db, const struct db_heater *heater)
{
    struct db_heater_state state = {
        .fact = {.at = 0,
                 .recorded_at = heater->at,
                 .actor_id = heater->actor_id},
        .heater_id = heater->id,
        .state = COIL_HEATER_IN_LINE,
        .bypass_percent_open = heater->bypass == COIL_BYPASS_PART_OPEN
                                   ? heater->bypass_usual_percent
                               : heater->bypass == COIL_BYPASS_FULL ? 0
                                                                    : -1};

    return db_heater_state_add(db, &state);
}

void api_heaters_create(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    struct db_heater heater, heaters[HEATERS_MAX];
    size_t count = 0;

    if (!read_body(app, db, req, out, &heater) ||
        !api_ok(out, db_heater_list(db, heaters, HEATERS_MAX, &count), "heater"))
        return;
    if (count == HEATERS_MAX) {
        reply_refuse(out, 409, "too_many", NULL, "One home has at most %d heaters.",
                     HEATERS_MAX);
        return;
    }
    if (api_ok(out, db_heater_add(db, &heater), "heater") &&
        api_ok(out, add_first_state(db, &heater), "heater state"))
        config_answer(app, db, req, out, 201, heater.actor_id, "heater", heater.id,
                      heater.version, NULL, heater_json(&heater));
}

void api_heaters_put(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_heater old, heater;
    char etag[48];

    if (!api_ok(out, db_heater_get(db, req->id, &old), "heater"))
        return;
    config_etag("heater", old.id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, heater_json(&old)) ||
        !read_body(app, db, req, out, &heater))
        return;
    heater.id = old.id;
    heater.version = old.version;
    if (api_ok(out, db_heater_put(db, &heater), "heater"))
        config_answer(app, db, req, out, 200, heater.actor_id, "heater", heater.id,
                      heater.version, heater_json(&old), heater_json(&heater));
}
