/* The site: one home, its place, zone and units. */
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "zone.h"

/* First and last value of any of the waters; both 0 when there is none. */
static void extent_of_all(struct db *db, int64_t *out_first, int64_t *out_last)
{
    struct db_water waters[DB_WATERS_MAX];
    size_t count = 0;

    if (db_water_list(db, waters, DB_WATERS_MAX, &count) != DB_OK)
        return;
    for (size_t i = 0; i < count; i++) {
        int64_t first = 0, last = 0;

        if (db_series_extent(db, waters[i].id, &first, &last) != DB_OK || first == 0)
            continue;
        if (*out_first == 0 || first < *out_first)
            *out_first = first;
        if (last > *out_last)
            *out_last = last;
    }
}

static cJSON *site_json(struct app *app, struct db *db, const struct db_site *site)
{
    cJSON *object = cJSON_CreateObject();
    int64_t first = 0, last = 0;

    cJSON_AddNumberToObject(object, "version", (double)site->version);
    cJSON_AddBoolToObject(object, "set_up", site->version > 0);
    cJSON_AddBoolToObject(object, "demo", app->demo);
    cJSON_AddStringToObject(object, "name", site->name);
    if (site->has_place) {
        api_add_e6(object, "latitude", site->latitude_e6);
        api_add_e6(object, "longitude", site->longitude_e6);
    } else {
        cJSON_AddNullToObject(object, "latitude");
        cJSON_AddNullToObject(object, "longitude");
    }
    cJSON_AddStringToObject(object, "zone", site->version > 0 ? site->zone : "UTC");
    cJSON_AddStringToObject(object, "units", site->us_units ? "us" : "si");
    cJSON_AddBoolToObject(object, "ppm", site->ppm);
    cJSON_AddBoolToObject(object, "decimal_comma", site->decimal_comma);
    cJSON_AddNumberToObject(object, "now", (double)api_now(app));
    extent_of_all(db, &first, &last);
    api_add_id_or_null(object, "first_value_at", first);
    api_add_id_or_null(object, "last_value_at", last);
    return object;
}

void api_site_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_site site;

    (void)req;
    if (!api_ok(out, db_site_get(db, &site), "site"))
        return;
    api_send(out, 200, site_json(app, db, &site));
    config_etag("site", 0, site.version, out->etag, sizeof out->etag);
    out->tag_only_matches = true; /* the time goes on, the tag does not */
}

static void read_place(struct form *form, struct db_site *site)
{
    bool north = form_e6(form, "latitude", -90, 90, FORM_OPTIONAL, &site->latitude_e6);
    bool east =
        form_e6(form, "longitude", -180, 180, FORM_OPTIONAL, &site->longitude_e6);

    site->has_place = north && east;
    if (north != east)
        problem_add(form->problem, "member_missing", north ? "longitude" : "latitude",
                    "A place needs both latitude and longitude, or neither.");
}

static void read_site(struct form *form, struct db_site *site)
{
    static const char *const units[] = {"us", "si", NULL};
    struct zone *zone = NULL;
    int unit = 1;

    form_text(form, "name", FORM_REQUIRED, site->name, sizeof site->name);
    if (form_text(form, "zone", FORM_REQUIRED, site->zone, sizeof site->zone) &&
        zone_open(site->zone, &zone) != ZONE_OK)
        problem_add(form->problem, "zone_unknown", "zone",
                    "There is no such time zone. Choose one like Europe/Madrid.");
    zone_close(zone);
    form_choice(form, "units", units, FORM_REQUIRED, &unit);
    site->us_units = unit == 0;
    form_flag(form, "ppm", FORM_OPTIONAL, &site->ppm);
    form_flag(form, "decimal_comma", FORM_OPTIONAL, &site->decimal_comma);
    read_place(form, site);
}

void api_site_put(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_site old, site;
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;
    char etag[80];

    if (!api_ok(out, db_site_get(db, &old), "site"))
        return;
    config_etag("site", 0, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, site_json(app, db, &old)))
        return;
    memset(&site, 0, sizeof site);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &site.actor_id);
        read_site(&form, &site);
    }
    form_close(&form);
    site.version = old.version;
    site.at = api_now(app);
    if (api_refused(out, &problem) || !api_ok(out, actor, "person") ||
        !api_ok(out, db_site_put(db, &site), "site"))
        return;
    config_answer(app, db, req, out, 200, site.actor_id, "site", 0, site.version,
                  old.version > 0 ? site_json(app, db, &old) : NULL,
                  site_json(app, db, &site));
}
