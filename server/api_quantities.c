/* What can be measured and what can be added: names, units, ranges, for forms. */
#include "api.h"
#include "api_common.h"

static cJSON *pair(double low, double high)
{
    cJSON *array = cJSON_CreateArray();

    cJSON_AddItemToArray(array, cJSON_CreateNumber(low));
    cJSON_AddItemToArray(array, cJSON_CreateNumber(high));
    return array;
}

static cJSON *quantity_json(enum coil_quantity quantity)
{
    const struct coil_quantity_info *info = coil_quantity_info(quantity);
    cJSON *object = cJSON_CreateObject(), *steps;
    int method;

    cJSON_AddStringToObject(object, "key", info->key);
    cJSON_AddStringToObject(object, "words", info->words);
    cJSON_AddStringToObject(object, "unit", info->unit);
    cJSON_AddItemToObject(object, "possible",
                          pair(info->possible_low, info->possible_high));
    cJSON_AddItemToObject(object, "plausible",
                          pair(info->plausible_low, info->plausible_high));
    steps = cJSON_AddObjectToObject(object, "resolution");
    for (method = 0; method < COIL_METHOD_COUNT; method++)
        cJSON_AddNumberToObject(steps, coil_method_key(method),
                                coil_method_resolution(method, quantity));
    return object;
}

static cJSON *product_json(const struct coil_product_info *info)
{
    static const char *const kinds[] = {"sanitiser", "acid", "other"};
    cJSON *object = cJSON_CreateObject();

    cJSON_AddStringToObject(object, "key", info->key);
    cJSON_AddStringToObject(object, "words", info->words);
    cJSON_AddBoolToObject(object, "liquid", info->is_liquid);
    cJSON_AddStringToObject(object, "kind", kinds[info->kind]);
    api_add_e6_or_null(object, "strength_percent",
                       decimal_from_double(info->strength_percent));
    return object;
}

void api_quantities_get(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    const uint64_t changes = api_changes(app);
    cJSON *object = cJSON_CreateObject(), *array;
    const struct coil_product_info *product;
    int i;

    (void)db;
    (void)req;
    array = cJSON_AddArrayToObject(object, "quantities");
    for (i = 0; i < COIL_QUANTITY_COUNT; i++)
        cJSON_AddItemToArray(array, quantity_json(i));
    array = cJSON_AddArrayToObject(object, "products");
    for (i = 0; (product = coil_product_at(i)) != NULL; i++)
        cJSON_AddItemToArray(array, product_json(product));
    api_send(out, 200, object);
    api_tag(app, out, changes);
}
