/* Photos of visits, flue tests, symptoms and heaters: kept without place, time and
 * camera. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_facts.h"
#include "db_care.h"
#include "db_flue.h"
#include "db_people.h"
#include "db_photo.h"
#include "photo_store.h"
#include "photo_strip.h"

static const char *const subjects[] = {"visit", "flue_test", "symptom", "heater", NULL};

static void write_photo(cJSON *object, const void *fact)
{
    const struct db_photo *photo = fact;
    char address[64];

    cJSON_AddNumberToObject(object, "heater", (double)photo->heater_id);
    cJSON_AddStringToObject(object, "of", subjects[photo->of_kind]);
    cJSON_AddNumberToObject(object, "of_id", (double)photo->of_id);
    cJSON_AddStringToObject(object, "type", photo->is_png ? "image/png" : "image/jpeg");
    cJSON_AddNumberToObject(object, "width", (double)photo->width);
    cJSON_AddNumberToObject(object, "height", (double)photo->height);
    cJSON_AddNumberToObject(object, "byte_count", (double)photo->byte_count);
    snprintf(address, sizeof address, "/api/v1/photos/%lld/image",
             (long long)photo->fact.id);
    cJSON_AddStringToObject(object, "image", address);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_photo_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_photo_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_photo_list(db, window, out, out_count);
}

const struct fact_kind fact_photos = {
    "photo", "photos", "photos", "heater", sizeof(struct db_photo), add, get, list,
    NULL, write_photo, NULL};

void api_photos_list(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    fact_list(app, db, req, out, &fact_photos);
}

void api_photos_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    fact_get(app, db, req, out, &fact_photos);
}

void api_photos_withdraw(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    fact_withdraw(app, db, req, out, &fact_photos);
}

/* ---- one is sent ---- */

/* The heater that the photo belongs to, by what it shows; 0: there is no such thing. */
static int64_t heater_of(struct db *db, enum db_photo_of kind, int64_t id)
{
    union {
        struct db_care_visit visit;
        struct db_flue_test test;
        struct db_symptom symptom;
        struct db_heater heater;
    } *thing = calloc(1, sizeof *thing);
    int64_t heater_id = 0;

    if (thing == NULL)
        return 0;
    if (kind == DB_PHOTO_VISIT && db_care_visit_get(db, id, &thing->visit) == DB_OK)
        heater_id = thing->visit.heater_id;
    else if (kind == DB_PHOTO_FLUE_TEST && db_flue_test_get(db, id, &thing->test) == DB_OK)
        heater_id = thing->test.heater_id;
    else if (kind == DB_PHOTO_SYMPTOM &&
             db_symptom_get(db, id, &thing->symptom) == DB_OK)
        heater_id = thing->symptom.heater_id;
    else if (kind == DB_PHOTO_HEATER && db_heater_get(db, id, &thing->heater) == DB_OK)
        heater_id = thing->heater.id;
    free(thing);
    return heater_id;
}

static bool read_query(struct db *db, const struct request *req, struct reply *out,
                       struct db_photo *photo)
{
    struct problem problem;

    problem_init(&problem);
    problem.status = 400;
    if (request_query(req, "of") == NULL)
        problem_add(&problem, "query_missing", "of", "Say what the photo shows.");
    photo->of_kind =
        (enum db_photo_of)api_query_choice(req, &problem, "of", subjects, 0);
    if (!api_query_integer(req, &problem, "id", 1, INT64_MAX / 2, &photo->of_id) &&
        problem.count == 0)
        problem_add(&problem, "query_missing", "id", "Say which one.");
    if (problem.count == 0) {
        photo->heater_id = heater_of(db, photo->of_kind, photo->of_id);
        if (photo->heater_id == 0) {
            problem.status = 422;
            problem_add(&problem, "not_found", "id", "There is no such thing.");
        }
    }
    return !api_refused(out, &problem);
}

static bool strip(const struct request *req, struct reply *out, struct db_photo *photo,
                  uint8_t *made, size_t *length)
{
    struct photo_info info;

    switch (photo_strip(req->body, req->body_length, &info, made, length)) {
    case PHOTO_FINE:
        photo->is_png = info.kind == PHOTO_PNG;
        photo->width = info.width;
        photo->height = info.height;
        photo->byte_count = (int64_t)*length;
        return true;
    case PHOTO_NOT_ONE:
        reply_refuse(out, 422, "no_photo", NULL, "This is no JPEG and no PNG.");
        return false;
    case PHOTO_BROKEN:
        reply_refuse(out, 422, "photo_broken", NULL,
                     "This photo is cut off or damaged. Take it again.");
        return false;
    case PHOTO_TOO_WIDE:
        break;
    }
    reply_refuse(out, 422, "photo_too_wide", NULL,
                 "A photo may have %d pixels a side at most.", PHOTO_SIDE_MAX);
    return false;
}

/* The picture is safe on disk before the store speaks of it. */
static bool keep(struct app *app, struct reply *out, struct db_photo *photo,
                 const uint8_t *made, size_t length)
{
    switch (photo_store_put(app->state_dir, made, length, photo->hash)) {
    case PHOTO_STORE_OK:
        return true;
    case PHOTO_STORE_FULL:
        return api_ok(out, DB_FULL, "photo");
    case PHOTO_STORE_FAILED:
        break;
    }
    reply_refuse(out, 500, "upload_failed", NULL,
                 "The photo could not be kept. The log says more.");
    return false;
}

static enum db_status actor_of(struct db *db, const struct request *req, int64_t *out_id)
{
    const char *by = request_query(req, "by");

    if (db_acting(db) != 0) {
        *out_id = db_acting(db);
        return DB_OK;
    }
    return db_actor(db, by == NULL || by[0] == '\0' || strlen(by) >= DB_NAME_SIZE
                            ? "this machine"
                            : by,
                    out_id);
}

static void answer(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, struct db_photo *photo)
{
    int64_t id;

    if (!api_ok(out, db_photo_add(db, photo), "photo"))
        return;
    id = photo->fact.id;
    if (!api_ok(out, db_photo_get(db, id, photo), "photo") ||
        !api_ok(out,
                api_journal(app, db, req, photo->fact.actor_id, "add", "photo", id, NULL,
                            fact_json(&fact_photos, photo)),
                "journal"))
        return;
    api_send(out, 201, fact_json(&fact_photos, photo));
    snprintf(out->etag, sizeof out->etag, "\"photo-%lld\"", (long long)id);
    snprintf(out->location, sizeof out->location, "/api/v1/photos/%lld", (long long)id);
}

void api_photos_create(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct db_photo photo = {.fact = {.at = api_now(app), .recorded_at = api_now(app)}};
    uint8_t *made;
    size_t length = 0;

    if (!read_query(db, req, out, &photo) ||
        !api_ok(out, actor_of(db, req, &photo.fact.actor_id), "person"))
        return;
    made = malloc(req->body_length + PHOTO_EXTRA);
    if (made == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the photo.");
    else if (strip(req, out, &photo, made, &length) &&
             keep(app, out, &photo, made, length))
        answer(app, db, req, out, &photo);
    free(made);
}

/* ---- the picture ---- */

void api_photos_image(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    struct db_photo photo;
    size_t length = 0;
    uint8_t *bytes;

    if (!api_ok(out, db_photo_get(db, req->id, &photo), "photo"))
        return;
    bytes = photo.fact.withdrawn || photo.fact.superseded_by != 0
                ? NULL
                : photo_store_get(app->state_dir, photo.hash, &length);
    if (bytes == NULL) {
        reply_refuse(out, 404, "not_found", NULL, "This picture is not there any more.");
        return;
    }
    out->status = 200;
    out->content_type = photo.is_png ? "image/png" : "image/jpeg";
    out->body = bytes;
    out->body_length = length;
    out->body_owned = true;
    snprintf(out->etag, sizeof out->etag, "\"image-%.32s\"", photo.hash);
}
