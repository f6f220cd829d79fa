/* Waters: pools and spas. */
#include <string.h>

#include "api.h"
#include "api_config.h"

static const char *const kinds[] = {"pool", "spa", NULL};
static const char *const sanitisers[] = {"chlorine", "salt_chlorine", "bromine",
                                         "biguanide", NULL};
static const char *const linings[] = {"plaster", "tile", "vinyl", "fibreglass", NULL};
static const char *const covers[] = {"none", "bubble", "solid", "automatic", NULL};
static const char *const cover_uses[] = {"unknown", "night", "day", NULL};
static const char *const fills[] = {"mains", "well", "rain", "softened", NULL};

static cJSON *water_json(const struct db_water *water)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("water", water->id, water->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "id", (double)water->id);
    cJSON_AddNumberToObject(object, "version", (double)water->version);
    cJSON_AddStringToObject(object, "etag", etag);
    cJSON_AddNumberToObject(object, "changed_at", (double)water->at);
    cJSON_AddStringToObject(object, "name", water->name);
    cJSON_AddStringToObject(object, "kind", kinds[water->is_spa]);
    cJSON_AddStringToObject(object, "sanitiser", coil_sanitiser_key(water->sanitiser));
    cJSON_AddBoolToObject(object, "indoor", water->indoor);
    cJSON_AddBoolToObject(object, "winter_closed", water->winter_closed);
    cJSON_AddBoolToObject(object, "no_cyanuric_acid", water->no_cyanuric_acid);
    cJSON_AddStringToObject(object, "lining", linings[water->lining]);
    cJSON_AddStringToObject(object, "cover", covers[water->cover]);
    cJSON_AddStringToObject(object, "fill", fills[water->fill]);
    api_add_e6_or_null(object, "volume_m3", water->volume_m3_e6);
    api_add_e6_or_null(object, "surface_m2", water->surface_m2_e6);
    api_add_e6_or_null(object, "depth_m", water->depth_m_e6);
    cJSON_AddNumberToObject(object, "shade_percent", water->shade_percent);
    cJSON_AddNumberToObject(object, "cloud_percent", water->cloud_percent);
    cJSON_AddStringToObject(object, "cover_use", cover_uses[water->cover_use]);
    return object;
}

void api_waters_list(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct db_water waters[DB_WATERS_MAX];
    cJSON *object, *array;
    size_t count = 0, i;

    (void)req;
    if (!api_ok(out, db_water_list(db, waters, DB_WATERS_MAX, &count), "water"))
        return;
    object = cJSON_CreateObject();
    array = cJSON_AddArrayToObject(object, "waters");
    for (i = 0; i < count; i++)
        cJSON_AddItemToArray(array, water_json(&waters[i]));
    api_send(out, 200, object);
    api_tag(app, out, changes);
}

void api_waters_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_water water;

    (void)app;
    if (!api_ok(out, db_water_get(db, req->id, &water), "water"))
        return;
    api_send(out, 200, water_json(&water));
    config_etag("water", water.id, water.version, out->etag, sizeof out->etag);
}

static int choice(struct form *form, const char *member, const char *const *names,
                  enum form_need need)
{
    int index = 0;

    form_choice(form, member, names, need, &index);
    return index;
}

static int percent(struct form *form, const char *member)
{
    int64_t value = 0;

    form_integer(form, member, 0, 100, FORM_OPTIONAL, &value);
    return (int)value;
}

static void read_water(struct form *form, struct db_water *water)
{
    form_text(form, "name", FORM_REQUIRED, water->name, sizeof water->name);
    water->is_spa = choice(form, "kind", kinds, FORM_REQUIRED) == 1;
    water->sanitiser =
        (enum coil_sanitiser)choice(form, "sanitiser", sanitisers, FORM_REQUIRED);
    water->lining = (enum db_lining)choice(form, "lining", linings, FORM_OPTIONAL);
    water->cover = (enum db_cover)choice(form, "cover", covers, FORM_OPTIONAL);
    water->fill = (enum db_fill)choice(form, "fill", fills, FORM_OPTIONAL);
    form_flag(form, "indoor", FORM_OPTIONAL, &water->indoor);
    form_flag(form, "winter_closed", FORM_OPTIONAL, &water->winter_closed);
    form_flag(form, "no_cyanuric_acid", FORM_OPTIONAL, &water->no_cyanuric_acid);
    form_e6(form, "volume_m3", 0.05, 20000, FORM_OPTIONAL, &water->volume_m3_e6);
    form_e6(form, "surface_m2", 0.1, 10000, FORM_OPTIONAL, &water->surface_m2_e6);
    form_e6(form, "depth_m", 0.05, 20, FORM_OPTIONAL, &water->depth_m_e6);
    water->shade_percent = percent(form, "shade_percent");
    water->cloud_percent = percent(form, "cloud_percent");
    water->cover_use =
        (enum db_cover_use)choice(form, "cover_use", cover_uses, FORM_OPTIONAL);
}

/* Reads the body; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct db_water *water)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    memset(water, 0, sizeof *water);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &water->actor_id);
        read_water(&form, water);
    }
    form_close(&form);
    water->at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

void api_waters_create(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct db_water water, waters[DB_WATERS_MAX];
    size_t count = 0;

    if (!read_body(app, db, req, out, &water) ||
        !api_ok(out, db_water_list(db, waters, DB_WATERS_MAX, &count), "water"))
        return;
    if (count == DB_WATERS_MAX) {
        reply_refuse(out, 409, "too_many", NULL, "One home has at most %d waters.",
                     DB_WATERS_MAX);
        return;
    }
    if (api_ok(out, db_water_add(db, &water), "water"))
        config_answer(app, db, req, out, 201, water.actor_id, "water", water.id,
                      water.version, NULL, water_json(&water));
}

void api_waters_put(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_water old, water;
    char etag[48];

    if (!api_ok(out, db_water_get(db, req->id, &old), "water"))
        return;
    config_etag("water", old.id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, water_json(&old)) ||
        !read_body(app, db, req, out, &water))
        return;
    water.id = old.id;
    water.version = old.version;
    if (api_ok(out, db_water_put(db, &water), "water"))
        config_answer(app, db, req, out, 200, water.actor_id, "water", water.id,
                      water.version, water_json(&old), water_json(&water));
}
