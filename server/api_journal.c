/* The journal: who changed what, from where, before and after. */
#include <stdint.h>
#include <stdlib.h>

#include "api.h"
#include "api_common.h"
#include "db_people.h"

#define LIMIT_DEFAULT 100
#define LIMIT_MAX 500

static cJSON *entry_json(const struct db_journal_entry *entry)
{
    cJSON *tree = cJSON_CreateObject();

    cJSON_AddNumberToObject(tree, "id", (double)entry->id);
    cJSON_AddNumberToObject(tree, "at", (double)entry->at);
    cJSON_AddStringToObject(tree, "by", entry->actor);
    cJSON_AddStringToObject(tree, "from", entry->peer);
    cJSON_AddStringToObject(tree, "action", entry->action);
    cJSON_AddStringToObject(tree, "what", entry->entity);
    cJSON_AddNumberToObject(tree, "which", (double)entry->entity_id);
    cJSON_AddItemToObject(tree, "before",
                          cJSON_CreateRaw(entry->before ? entry->before : "null"));
    cJSON_AddItemToObject(tree, "after",
                          cJSON_CreateRaw(entry->after ? entry->after : "null"));
    return tree;
}

void api_journal_get(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_journal_entry *entries;
    struct problem problem;
    int64_t before = 0, limit = LIMIT_DEFAULT;
    size_t count = 0;
    cJSON *tree, *list;

    (void)app;
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "before", 1, INT64_MAX, &before);
    api_query_integer(req, &problem, "limit", 1, LIMIT_MAX, &limit);
    if (api_refused(out, &problem))
        return;
    entries = calloc((size_t)limit, sizeof *entries);
    if (entries == NULL) {
        reply_refuse(out, 500, "no_memory", NULL, "The answer did not fit in memory.");
        return;
    }
    if (api_ok(out, db_journal_list(db, before, entries, (size_t)limit, &count),
               "journal")) {
        tree = cJSON_CreateObject();
        list = cJSON_AddArrayToObject(tree, "entries");
        for (size_t i = 0; i < count; i++)
            cJSON_AddItemToArray(list, entry_json(&entries[i]));
        api_send(out, 200, tree);
    }
    db_journal_free(entries, count);
    free(entries);
}
