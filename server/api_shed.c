/* The shed: products with their strength and what is left of them. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "shed.h"
#include "lib/treatment.h"

static const char *const measures[] = {"scoop", "jug", "scale", NULL};

/* ---- what is left of its strength ---- */

#define DAY_S 86400.0

bool shed_age(const struct db_shed_item *item, int64_t now_s, struct shed_age *out)
{
    double days = (double)(now_s - item->bought_at) / DAY_S;

    *out = (struct shed_age){.temp_c = item->knows_stored_temp
                                           ? decimal_to_double(item->stored_temp_c_e6)
                                           : COIL_SHED_TEMP_DEFAULT_C,
                             .is_temp_assumed = !item->knows_stored_temp,
                             .days = days > 0 ? days : 0};
    return item->product == COIL_SODIUM_HYPOCHLORITE && item->bought_at > 0 &&
           coil_hypochlorite_aged(decimal_to_double(item->strength_e6), out->days,
                                  out->temp_c, &out->strength_percent) == COIL_OK;
}

/* Null where a product keeps its strength or nobody said when it was bought. */
static void add_age(cJSON *object, const struct db_shed_item *item, int64_t now_s)
{
    struct shed_age age;
    cJSON *one;

    if (!shed_age(item, now_s, &age)) {
        cJSON_AddNullToObject(object, "aged");
        return;
    }
    one = cJSON_AddObjectToObject(object, "aged");
    api_add_e6(one, "strength_percent",
               decimal_from_double(round(age.strength_percent * 10) / 10));
    cJSON_AddNumberToObject(one, "age_d", floor(age.days));
    api_add_e6(one, "temp_c", decimal_from_double(age.temp_c));
    cJSON_AddBoolToObject(one, "temp_is_assumed", age.is_temp_assumed);
}

cJSON *shed_measure_json(const struct db_shed_item *item)
{
    cJSON *object;

    if (item->measure_size_e6 <= 0)
        return cJSON_CreateNull();
    object = cJSON_CreateObject();
    cJSON_AddStringToObject(object, "kind", measures[item->measure]);
    api_add_e6(object, "size", item->measure_size_e6);
    return object;
}

/* ---- as JSON ---- */

static cJSON *item_json(const struct db_shed_item *item, int64_t now_s)
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
    add_age(object, item, now_s);
    api_add_e6(object, "amount_left", item->amount_left_e6);
    api_add_id_or_null(object, "bought_at", item->bought_at);
    api_add_id_or_null(object, "opened_at", item->opened_at);
    if (item->knows_stored_temp)
        api_add_e6(object, "stored_temp_c", item->stored_temp_c_e6);
    else
        cJSON_AddNullToObject(object, "stored_temp_c");
    cJSON_AddItemToObject(object, "measure", shed_measure_json(item));
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
        cJSON_AddItemToArray(array, item_json(&items[i], api_now(app)));
    api_send(out, 200, object);
    api_tag(app, out, changes);
}

void api_shed_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_shed_item item;

    if (!api_ok(out, db_shed_get(db, req->id, &item), "thing in the shed"))
        return;
    api_send(out, 200, item_json(&item, api_now(app)));
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

/* Labels whose number is in another unit than percent. */
static const struct {
    const char *member;
    enum coil_label label;
} labels[] = {
    {"strength_degrees_baume", COIL_LABEL_DEGREES_BAUME},
    {"strength_available_weight_percent", COIL_LABEL_AVAILABLE_WEIGHT},
    {"strength_hypochlorite_weight_percent", COIL_LABEL_HYPOCHLORITE_WEIGHT},
    {"strength_dihydrate_percent", COIL_LABEL_DIHYDRATE},
};

static void read_label(struct form *form, struct db_shed_item *item)
{
    for (size_t i = 0; i < sizeof labels / sizeof *labels; i++) {
        double percent = 0;
        int64_t e6 = 0;

        if (!form_e6(form, labels[i].member, 0.01, 100, FORM_OPTIONAL, &e6))
            continue;
        if (item->strength_e6 > 0)
            problem_add(form->problem, "member_unknown", labels[i].member,
                        "The strength is there twice: take one.");
        else if (coil_strength_from_label(item->product, labels[i].label,
                                          decimal_to_double(e6), &percent) != COIL_OK)
            problem_add(form->problem, "out_of_range", labels[i].member,
                        "This product has no such strength.");
        item->strength_e6 = decimal_from_double(percent > 0 ? percent : 1);
    }
}

/* Without a strength the product's usual one counts, where it has one. */
static void read_strength(struct form *form, struct db_shed_item *item)
{
    const struct coil_product_info *info = coil_product_info(item->product);

    form_e6(form, "strength_percent", 0.01, 100, FORM_OPTIONAL, &item->strength_e6);
    read_label(form, item);
    if (item->strength_e6 > 0)
        return;
    if (info != NULL && info->strength_percent > 0)
        item->strength_e6 = decimal_from_double(info->strength_percent);
    else if (info != NULL)
        problem_add(form->problem, "member_missing", "strength_percent",
                    "This product has no usual strength: take the label's.");
}

static void read_measure(struct form *form, struct db_shed_item *item)
{
    const struct coil_product_info *info = coil_product_info(item->product);
    struct form measure;
    int kind = DB_SCOOP;

    if (!form_nested(form, "measure", FORM_OPTIONAL, &measure))
        return;
    if (form_choice(&measure, "kind", measures, FORM_REQUIRED, &kind) &&
        kind == DB_SCALE && info != NULL && info->is_liquid)
        problem_add(form->problem, "not_in_list", "measure.kind",
                    "A liquid is measured in mL: with a jug or a scoop.");
    item->measure = (enum db_measure)kind;
    form_e6(&measure, "size", 0.1, 1e5, FORM_REQUIRED, &item->measure_size_e6);
    form_close(&measure);
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
    item->knows_stored_temp =
        form_e6(form, "stored_temp_c", -10, 60, FORM_OPTIONAL, &item->stored_temp_c_e6);
    read_measure(form, item);
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
                  item->version, before, item_json(item, api_now(app)));
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
    if (!api_matches(req, out, etag, item_json(&old, api_now(app))) ||
        !read_body(app, db, req, out, &item))
        return;
    item.id = old.id;
    item.version = old.version;
    if (api_ok(out, db_shed_put(db, &item), "thing in the shed"))
        answer(app, db, req, out, 200, &item, item_json(&old, api_now(app)));
}
