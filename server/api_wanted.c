/* What is wanted of a water and how much one dose may bring, kept per water. */
#include "wanted.h"

#include <stdio.h>
#include <string.h>

#include "api.h"
#include "api_config.h"

/* What a caller may set as the most of one dose, mg/L. */
#define DOSE_LIMIT_LOW 1.0
#define DOSE_LIMIT_HIGH 1000.0

/* In the order of enum db_dose_limit. */
static const char *const limit_names[DB_DOSE_LIMIT_COUNT] = {
    "acid_mg_per_l_caco3", "carbonate_mg_per_l_caco3", "bicarbonate_mg_per_l_caco3",
    "calcium_mg_per_l_caco3", "chlorine_mg_per_l"};

static double *limit_of(struct coil_dose_limits *limits, enum db_dose_limit name)
{
    double *const members[DB_DOSE_LIMIT_COUNT] = {
        &limits->acid_mg_per_l_caco3, &limits->carbonate_mg_per_l_caco3,
        &limits->bicarbonate_mg_per_l_caco3, &limits->calcium_mg_per_l_caco3,
        &limits->chlorine_mg_per_l};

    return members[name];
}

struct coil_wanted_basis wanted_basis(const struct db_water *water)
{
    return (struct coil_wanted_basis){
        .has_plaster =
            water->lining == DB_LINING_PLASTER || water->lining == DB_LINING_TILE,
        .has_chlorine =
            water->sanitiser == COIL_CHLORINE || water->sanitiser == COIL_SALT_CHLORINE,
        .no_cyanuric_acid = water->no_cyanuric_acid || water->indoor,
    };
}

/* ---- reading ---- */

static void read_range(struct form *wanted, enum coil_aim aim,
                       struct db_wanted_range *out)
{
    const struct coil_quantity_info *info = coil_quantity_info(coil_aim_quantity(aim));
    const cJSON *member = form_member(wanted, info->key);
    struct form range;
    char field[sizeof wanted->prefix + 64];

    if (member == NULL)
        return;
    *out = (struct db_wanted_range){.is_own = true};
    if (cJSON_IsNull(member) || !form_nested(wanted, info->key, FORM_REQUIRED, &range))
        return;
    out->is_set = true;
    if (form_e6(&range, "low", info->possible_low, info->possible_high, FORM_REQUIRED,
                &out->low_e6) &&
        form_e6(&range, "high", info->possible_low, info->possible_high, FORM_REQUIRED,
                &out->high_e6) &&
        out->low_e6 > out->high_e6) {
        snprintf(field, sizeof field, "%s%s.high", wanted->prefix, info->key);
        problem_add(wanted->problem, "out_of_range", field,
                    "%s: the low end is above the high end.", info->words);
    }
    form_close(&range);
}

void wanted_read(struct form *form, struct db_wanted *out)
{
    struct form wanted, limits;

    if (form_nested(form, "wanted", FORM_OPTIONAL, &wanted)) {
        for (int i = 0; i < COIL_AIM_COUNT; i++)
            read_range(&wanted, (enum coil_aim)i, &out->ranges[i]);
        form_close(&wanted);
    }
    if (form_nested(form, "limits", FORM_OPTIONAL, &limits)) {
        for (int i = 0; i < DB_DOSE_LIMIT_COUNT; i++)
            form_e6(&limits, limit_names[i], DOSE_LIMIT_LOW, DOSE_LIMIT_HIGH,
                    FORM_OPTIONAL, &out->limit_e6[i]);
        form_close(&limits);
    }
}

void wanted_apply(const struct db_wanted *wanted, struct coil_treatment_input *input,
                  bool out_is_own[COIL_AIM_COUNT])
{
    for (int i = 0; i < COIL_AIM_COUNT; i++) {
        const struct db_wanted_range *range = &wanted->ranges[i];

        if (!range->is_own)
            continue;
        out_is_own[i] = true;
        input->wanted[i] =
            (struct coil_wanted){range->is_set, decimal_to_double(range->low_e6),
                                 decimal_to_double(range->high_e6)};
    }
    for (int i = 0; i < DB_DOSE_LIMIT_COUNT; i++)
        if (wanted->limit_e6[i] > 0)
            *limit_of(&input->limits, (enum db_dose_limit)i) =
                decimal_to_double(wanted->limit_e6[i]);
}

/* ---- answering ---- */

static void add_own(cJSON *object, const struct db_wanted *wanted)
{
    cJSON *ranges = cJSON_AddObjectToObject(object, "wanted"), *range;
    cJSON *limits = cJSON_AddObjectToObject(object, "limits");

    for (int i = 0; i < COIL_AIM_COUNT; i++) {
        const char *key = coil_quantity_info(coil_aim_quantity((enum coil_aim)i))->key;

        if (!wanted->ranges[i].is_own)
            continue;
        if (!wanted->ranges[i].is_set) {
            cJSON_AddNullToObject(ranges, key);
            continue;
        }
        range = cJSON_AddObjectToObject(ranges, key);
        api_add_e6(range, "low", wanted->ranges[i].low_e6);
        api_add_e6(range, "high", wanted->ranges[i].high_e6);
    }
    for (int i = 0; i < DB_DOSE_LIMIT_COUNT; i++)
        if (wanted->limit_e6[i] > 0)
            api_add_e6(limits, limit_names[i], wanted->limit_e6[i]);
}

/* What holds where nothing was said. */
static void add_defaults(cJSON *object, const struct db_water *water)
{
    const struct coil_wanted_basis basis = wanted_basis(water);
    struct coil_dose_limits usual = coil_dose_limits_default();
    cJSON *defaults = cJSON_AddObjectToObject(object, "defaults");
    cJSON *ranges = cJSON_AddObjectToObject(defaults, "wanted"), *range;
    cJSON *limits = cJSON_AddObjectToObject(defaults, "limits");

    for (int i = 0; i < COIL_AIM_COUNT; i++) {
        const struct coil_wanted wanted = coil_wanted_default((enum coil_aim)i, &basis);
        const char *key = coil_quantity_info(coil_aim_quantity((enum coil_aim)i))->key;

        if (!wanted.is_set) {
            cJSON_AddNullToObject(ranges, key);
            continue;
        }
        range = cJSON_AddObjectToObject(ranges, key);
        cJSON_AddNumberToObject(range, "low", wanted.low);
        cJSON_AddNumberToObject(range, "high", wanted.high);
        cJSON_AddStringToObject(range, "source", coil_wanted_source((enum coil_aim)i));
    }
    for (int i = 0; i < DB_DOSE_LIMIT_COUNT; i++)
        cJSON_AddNumberToObject(limits, limit_names[i],
                                *limit_of(&usual, (enum db_dose_limit)i));
    cJSON_AddStringToObject(defaults, "limits_source", "common practice, no source");
}

static cJSON *wanted_json(const struct db_wanted *wanted, const struct db_water *water)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("wanted", wanted->water_id, wanted->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "water", (double)wanted->water_id);
    cJSON_AddNumberToObject(object, "version", (double)wanted->version);
    cJSON_AddStringToObject(object, "etag", etag);
    api_add_id_or_null(object, "changed_at", wanted->at);
    add_own(object, wanted);
    add_defaults(object, water);
    return object;
}

static bool find(struct db *db, const struct request *req, struct reply *out,
                 struct db_wanted *wanted, struct db_water *water)
{
    enum db_status status = db_wanted_get(db, req->id, wanted);

    if (status == DB_OK)
        status = db_water_get(db, req->id, water);
    return api_ok(out, status, "water");
}

void api_wanted_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_wanted wanted;
    struct db_water water;

    (void)app;
    if (!find(db, req, out, &wanted, &water))
        return;
    api_send(out, 200, wanted_json(&wanted, &water));
    config_etag("wanted", wanted.water_id, wanted.version, out->etag, sizeof out->etag);
}

/* Reads the body; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct db_wanted *wanted)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    memset(wanted, 0, sizeof *wanted);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &wanted->actor_id);
        wanted_read(&form, wanted);
    }
    form_close(&form);
    wanted->at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

void api_wanted_put(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_wanted old, wanted;
    struct db_water water;
    char etag[48];

    if (!find(db, req, out, &old, &water))
        return;
    config_etag("wanted", old.water_id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, wanted_json(&old, &water)) ||
        !read_body(app, db, req, out, &wanted))
        return;
    wanted.water_id = old.water_id;
    wanted.version = old.version;
    if (api_ok(out, db_wanted_put(db, &wanted), "water"))
        config_answer(app, db, req, out, 200, wanted.actor_id, "wanted",
                      wanted.water_id, wanted.version, wanted_json(&old, &water),
                      wanted_json(&wanted, &water));
}
