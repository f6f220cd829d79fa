/* The shed: products with their strength and what is left of them. */
#include <stdio.h>
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "lib/treatment.h"

static cJSON *item_json(const struct db_shed_item *item)
{
    const struct coil_product_info *info = coil_product_info(item->product);
    cJSON *object = cJSON_CreateObject();
    char etag[48];

    config_etag("shed", item->id, item->version, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "id", (double)item->id);
    cJSON_AddNumberToObject(object, "version", (double)item->version);
    cJSON_AddStringToObject(object, "etag", etag);
    cJSON_AddNumberToObject(object, "changed_at", (double)item->at);
    cJSON_AddStringToObject(object, "name", item->name);
    cJSON_AddStringToObject(object, "product", info != NULL ? info->key : "other");
    cJSON_AddStringToObject(object, "unit",
                            info != NULL && info->is_liquid ? "mL" : "g");
    api_add_e6(object, "strength_percent", item->strength_e6);
    api_add_e6(object, "amount_left", item->amount_left_e6);
    api_add_id_or_null(object, "bought_at", item->bought_at);
    api_add_id_or_null(object, "opened_at", item->opened_at);
    cJSON_AddBoolToObject(object, "gone", item->gone);
    return object;
}

void api_shed_list(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct db_shed_item items[COIL_SHED_MAX];
    cJSON *object, *array;
    size_t count = 0, i;

    (void)req;
    if (!api_ok(out, db_shed_list(db, items, COIL_SHED_MAX, &count), "shed"))
        return;
    object = cJSON_CreateObject();
    array = cJSON_AddArrayToObject(object, "shed");
    for (i = 0; i < count; i++)
        cJSON_AddItemToArray(array, item_json(&items[i]));
    api_send(out, 200, object);
    api_tag(app, out, changes);
}

void api_shed_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_shed_item item;

    (void)app;
    if (!api_ok(out, db_shed_get(db, req->id, &item), "thing in the shed"))
        return;
    api_send(out, 200, item_json(&item));
    config_etag("shed", item.id, item.version, out->etag, sizeof out->etag);
}

static void read_product(struct form *form, struct db_shed_item *item)
{
    char key[48] = "";

    if (form_text(form, "product", FORM_REQUIRED, key, sizeof key) &&
        coil_product_from_key(key, &item->product) != COIL_OK)
        problem_add(form->problem, "not_in_list", "product",
                    "That product is not in the list; take \"other\".");
}

/* Without a strength the product's usual one counts, where it has one. */
static void read_strength(struct form *form, struct db_shed_item *item)
{
    const struct coil_product_info *info = coil_product_info(item->product);

    if (form_e6(form, "strength_percent", 0.01, 100, FORM_OPTIONAL, &item->strength_e6))
        return;
    if (info != NULL && info->strength_percent > 0)
        item->strength_e6 = decimal_from_double(info->strength_percent);
    else if (info != NULL)
        problem_add(form->problem, "member_missing", "strength_percent",
                    "This product has no usual strength: take the label's.");
}

static void read_item(struct app *app, struct form *form, struct db_shed_item *item)
{
    int64_t latest = api_now(app) + API_FUTURE_S;

    form_text(form, "name", FORM_OPTIONAL, item->name, sizeof item->name);
    read_product(form, item);
    read_strength(form, item);
    form_e6(form, "amount_left", 0, 1e7, FORM_REQUIRED, &item->amount_left_e6);
    form_integer(form, "bought_at", 0, latest, FORM_OPTIONAL, &item->bought_at);
    form_integer(form, "opened_at", 0, latest, FORM_OPTIONAL, &item->opened_at);
    form_flag(form, "gone", FORM_OPTIONAL, &item->gone);
}

/* Reads the body; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct db_shed_item *item)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    memset(item, 0, sizeof *item);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &item->actor_id);
        read_item(app, &form, item);
    }
    form_close(&form);
    item->at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

static void answer(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, int status, const struct db_shed_item *item,
                   cJSON *before)
{
    config_answer(app, db, req, out, status, item->actor_id, "shed", item->id,
                  item->version, before, item_json(item));
    if (out->status == 201)
        snprintf(out->location, sizeof out->location, "/api/v1/shed/%lld",
                 (long long)item->id);
}

void api_shed_create(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_shed_item item, items[COIL_SHED_MAX];
    size_t count = 0;

    if (!read_body(app, db, req, out, &item) ||
        !api_ok(out, db_shed_list(db, items, COIL_SHED_MAX, &count), "shed"))
        return;
    if (count == COIL_SHED_MAX) {
        reply_refuse(out, 409, "too_many", NULL,
                     "The shed holds at most %d things: mark some as gone.",
                     COIL_SHED_MAX);
        return;
    }
    if (api_ok(out, db_shed_add(db, &item), "thing in the shed"))
        answer(app, db, req, out, 201, &item, NULL);
}

void api_shed_put(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_shed_item old, item;
    char etag[48];

    if (!api_ok(out, db_shed_get(db, req->id, &old), "thing in the shed"))
        return;
    config_etag("shed", old.id, old.version, etag, sizeof etag);
    if (!api_matches(req, out, etag, item_json(&old)) ||
        !read_body(app, db, req, out, &item))
        return;
    item.id = old.id;
    item.version = old.version;
    if (api_ok(out, db_shed_put(db, &item), "thing in the shed"))
        answer(app, db, req, out, 200, &item, item_json(&old));
}
