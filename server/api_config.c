#include "api_config.h"

#include <stdio.h>
#include <string.h>

void config_etag(const char *name, int64_t id, int64_t version, char *out, size_t size)
{
    if (id == 0)
        snprintf(out, size, "\"%s-%lld\"", name, (long long)version);
    else
        snprintf(out, size, "\"%s-%lld-%lld\"", name, (long long)id, (long long)version);
}

cJSON *config_limits_json(const struct coil_limit limits[COIL_LIMIT_COUNT])
{
    cJSON *object = cJSON_CreateObject();
    int name;

    for (name = 0; name < COIL_LIMIT_COUNT; name++) {
        const struct coil_limit *limit = &limits[name];
        cJSON *one;

        if (!limit->is_set) {
            cJSON_AddNullToObject(object, coil_limit_key(name));
            continue;
        }
        one = cJSON_AddObjectToObject(object, coil_limit_key(name));
        api_add_e6(one, "value", decimal_from_double(limit->value));
        cJSON_AddStringToObject(one, "source", coil_limit_source_key(limit->source));
    }
    return object;
}

void config_send_tagged(struct reply *out, cJSON *tree, const char *etag)
{
    api_send(out, 200, tree);
    if (out->status == 200)
        snprintf(out->etag, sizeof out->etag, "%s", etag);
}

void config_answer(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, int status, int64_t actor_id, const char *name,
                   int64_t id, int64_t version, cJSON *before, cJSON *after)
{
    cJSON *copy = cJSON_Duplicate(after, 1);

    if (!api_ok(out,
                api_journal(app, db, req, actor_id, before == NULL ? "add" : "change",
                            name, id, before, copy),
                "journal")) {
        cJSON_Delete(after);
        return;
    }
    api_send(out, status, after);
    config_etag(name, id, version, out->etag, sizeof out->etag);
    if (status == 201)
        snprintf(out->location, sizeof out->location, "/api/v1/%ss/%lld", name,
                 (long long)id);
}
