/* What people notice at a heater. */
#include "api.h"
#include "api_facts.h"
#include "symptom_words.h"

static const char *const ranks[] = {"look", "stop", "leave"};

static void add_lines(cJSON *object, const char *name, const char *const *lines)
{
    cJSON *array = cJSON_AddArrayToObject(object, name);

    for (size_t i = 0; i < SYMPTOM_LINES && lines[i] != NULL; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(lines[i]));
}

void api_symptom_kinds_get(struct app *app, struct db *db, const struct request *req,
                           struct reply *out)
{
    cJSON *object = cJSON_CreateObject();
    cJSON *array = cJSON_AddArrayToObject(object, "kinds");

    (void)db;
    (void)req;
    for (int i = 0; i < DB_SYMPTOM_COUNT; i++) {
        const struct symptom_words *words = symptom_words((enum db_symptom_kind)i);
        cJSON *one = cJSON_CreateObject();

        cJSON_AddStringToObject(one, "kind", words->key);
        cJSON_AddStringToObject(one, "name", words->name);
        cJSON_AddStringToObject(one, "rank", ranks[words->rank]);
        cJSON_AddBoolToObject(one, "holds_burner", words->holds_burner);
        add_lines(one, "causes", words->causes);
        add_lines(one, "checks", words->checks);
        cJSON_AddStringToObject(one, "stop", words->stop);
        cJSON_AddItemToArray(array, one);
    }
    api_send(out, 200, object);
    api_tag(app, out, 0);
}

static void read_symptom(struct app *app, struct db *db, struct form *form, void *out)
{
    const char *keys[DB_SYMPTOM_COUNT + 1] = {NULL};
    struct db_symptom *symptom = out;
    struct db_heater heater;
    int kind = 0;

    (void)app;
    for (int i = 0; i < DB_SYMPTOM_COUNT; i++)
        keys[i] = symptom_words((enum db_symptom_kind)i)->key;
    api_form_heater(db, form, &symptom->heater_id, &heater);
    if (form_choice(form, "kind", keys, FORM_REQUIRED, &kind))
        symptom->kind = (enum db_symptom_kind)kind;
}

static void write_symptom(cJSON *object, const void *fact)
{
    const struct db_symptom *symptom = fact;
    const struct symptom_words *words = symptom_words(symptom->kind);

    cJSON_AddNumberToObject(object, "heater", (double)symptom->heater_id);
    cJSON_AddStringToObject(object, "kind", words->key);
    cJSON_AddStringToObject(object, "rank", ranks[words->rank]);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_symptom_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_symptom_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_symptom_list(db, window, out, out_count);
}

const struct fact_kind fact_symptoms = {
    "symptom", "symptoms", "symptoms", "heater", sizeof(struct db_symptom), add,
    get, list, read_symptom, write_symptom, NULL};

FACT_HANDLERS(symptoms, fact_symptoms)
