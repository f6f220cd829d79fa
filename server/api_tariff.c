/* What a heater's fuel costs: unit of the bill, price, heat of a unit. */
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "heat_plan.h"

static cJSON *tariff_json(const struct db_tariff *tariff)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("tariff", tariff->heater_id, tariff->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "heater", (double)tariff->heater_id);
    cJSON_AddNumberToObject(object, "version", (double)tariff->version);
    cJSON_AddStringToObject(object, "etag", etag);
    api_add_id_or_null(object, "changed_at", tariff->at);
    if (tariff->version == 0) {
        cJSON_AddNullToObject(object, "unit");
        cJSON_AddNullToObject(object, "price_per_unit");
    } else {
        cJSON_AddStringToObject(object, "unit", coil_fuel_unit_key(tariff->unit));
        api_add_e6(object, "price_per_unit", tariff->price_e6);
    }
    api_add_e6_or_null(object, "mj_per_unit", tariff->mj_per_unit_e6);
    cJSON_AddStringToObject(object, "currency", tariff->currency);
    return object;
}

void api_tariff_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_tariff tariff;

    (void)app;
    if (!api_ok(out, db_tariff_get(db, req->id, &tariff), "heater"))
        return;
    api_send(out, 200, tariff_json(&tariff));
    config_etag("tariff", tariff.heater_id, tariff.version, out->etag,
                sizeof out->etag);
}

/* Reads the body; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct db_tariff *tariff)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;
    int unit = 0;

    memset(tariff, 0, sizeof *tariff);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &tariff->actor_id);
        form_choice(&form, "unit", heat_unit_keys, FORM_REQUIRED, &unit);
        tariff->unit = (enum coil_fuel_unit)unit;
        form_e6(&form, "price_per_unit", 0, 1e6, FORM_REQUIRED, &tariff->price_e6);
        if (form_e6(&form, "mj_per_unit", 1, 1000, FORM_OPTIONAL,
                    &tariff->mj_per_unit_e6) &&
            tariff->unit == COIL_FUEL_KWH)
            problem_add(&problem, "member_unknown", "mj_per_unit",
                        "A kilowatt hour is always 3.6 MJ.");
        form_text(&form, "currency", FORM_OPTIONAL, tariff->currency,
                  sizeof tariff->currency);
    }
    form_close(&form);
    tariff->at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

void api_tariff_put(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_tariff old, tariff;
    char etag[48];

    if (!api_ok(out, db_tariff_get(db, req->id, &old), "heater"))
        return;
    config_etag("tariff", old.heater_id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, tariff_json(&old)) ||
        !read_body(app, db, req, out, &tariff))
        return;
    tariff.heater_id = old.heater_id;
    tariff.version = old.version;
    if (api_ok(out, db_tariff_put(db, &tariff), "heater"))
        config_answer(app, db, req, out, 200, tariff.actor_id, "tariff",
                      tariff.heater_id, tariff.version, tariff_json(&old),
                      tariff_json(&tariff));
}
