/* What a heater's rating plate and its installer say. */
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "flue_json.h"

static void add_text(cJSON *object, const char *name, const char *text)
{
    if (text[0] == '\0')
        cJSON_AddNullToObject(object, name);
    else
        cJSON_AddStringToObject(object, name, text);
}

cJSON *plate_json(const struct db_plate *plate)
{
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("plate", plate->heater_id, plate->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "heater", (double)plate->heater_id);
    cJSON_AddNumberToObject(object, "version", (double)plate->version);
    cJSON_AddStringToObject(object, "etag", etag);
    api_add_id_or_null(object, "changed_at", plate->at);
    add_text(object, "model", plate->model);
    add_text(object, "serial", plate->serial);
    api_add_day_or_null(object, "installed_on", plate->has_installed_day,
                        plate->installed_day);
    add_text(object, "installed_by", plate->installed_by);
    api_add_e6_or_null(object, "manifold_pa", plate->manifold_pa_e6);
    cJSON_AddBoolToObject(object, "condensing", plate->condensing);
    cJSON_AddBoolToObject(object, "cannot_be_sampled", plate->cannot_be_sampled);
    if (plate->gas[0] == '\0')
        cJSON_AddNullToObject(object, "gas");
    else
        cJSON_AddRawToObject(object, "gas", plate->gas);
    return object;
}

void api_plate_get(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    struct db_plate plate;

    (void)app;
    if (!api_ok(out, db_plate_get(db, req->id, &plate), "heater"))
        return;
    api_send(out, 200, plate_json(&plate));
    config_etag("plate", plate.heater_id, plate.version, out->etag, sizeof out->etag);
}

static void read_plate(struct app *app, struct form *form, struct db_plate *plate)
{
    form_text(form, "model", FORM_OPTIONAL, plate->model, sizeof plate->model);
    form_text(form, "serial", FORM_OPTIONAL, plate->serial, sizeof plate->serial);
    form_text(form, "installed_by", FORM_OPTIONAL, plate->installed_by,
              sizeof plate->installed_by);
    plate->has_installed_day =
        api_form_day(form, "installed_on", FORM_OPTIONAL, &plate->installed_day);
    /* Noon of the next day at the latest: days differ by zone. */
    if (plate->has_installed_day && plate->installed_day > api_now(app) / 86400 + 1)
        problem_add(form->problem, "date_range", "installed_on",
                    "A heater that stands here was put in today or earlier.");
    form_e6(form, "manifold_pa", 100, 10000, FORM_OPTIONAL, &plate->manifold_pa_e6);
    form_flag(form, "condensing", FORM_OPTIONAL, &plate->condensing);
    form_flag(form, "cannot_be_sampled", FORM_OPTIONAL, &plate->cannot_be_sampled);
    flue_gas_read(form, plate->gas);
}

void api_plate_put(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    struct db_plate old, plate = {.at = api_now(app)};
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;
    char etag[48];

    if (!api_ok(out, db_plate_get(db, req->id, &old), "heater"))
        return;
    config_etag("plate", old.heater_id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, plate_json(&old)))
        return;
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &plate.actor_id);
        read_plate(app, &form, &plate);
    }
    form_close(&form);
    if (api_refused(out, &problem) || !api_ok(out, actor, "person"))
        return;
    plate.heater_id = old.heater_id;
    plate.version = old.version;
    if (api_ok(out, db_plate_put(db, &plate), "heater"))
        config_answer(app, db, req, out, 200, plate.actor_id, "plate", plate.heater_id,
                      plate.version, plate_json(&old), plate_json(&plate));
}
