#include "care_checklist.h"

#include <stdlib.h>
#include <string.h>

#include "api_common.h"

const char *const care_checklist_items[] = {
    "burner_orifices", "webs",        "soot",         "flame", "vent",
    "gas_pressure",    "exchanger",   "header",       "bypass", "flow_switch",
    "bonding",         "leak_test",   "co_alarm",     NULL};

static const char *const results[] = {"good", "put_right", "bad", "not_checked", NULL};

#define UNIT_SIZE 16
#define ITEM_NOTE_SIZE 200

static const char *unit_of(const char *item)
{
    return strcmp(item, "gas_pressure") == 0 || strcmp(item, "leak_test") == 0 ? "Pa"
                                                                              : NULL;
}

static void read_number(struct form *one, const char *item, cJSON *object)
{
    const char *fixed = unit_of(item);
    char unit[UNIT_SIZE] = "";
    int64_t value_e6 = 0;

    if (!form_e6(one, "value", -1e6, 1e6, FORM_OPTIONAL, &value_e6)) {
        form_text(one, "unit", FORM_OPTIONAL, unit, sizeof unit);
        return;
    }
    form_text(one, "unit", fixed == NULL ? FORM_REQUIRED : FORM_OPTIONAL, unit,
              sizeof unit);
    if (fixed != NULL && unit[0] != '\0' && strcmp(unit, fixed) != 0)
        problem_add(one->problem, "unit_wrong", "unit", "%s is kept in %s.", item,
                    fixed);
    api_add_e6(object, "value", value_e6);
    cJSON_AddStringToObject(object, "unit", fixed != NULL ? fixed : unit);
}

static void read_item(struct form *list, const char *item, cJSON *made)
{
    char note[ITEM_NOTE_SIZE] = "";
    struct form one;
    cJSON *object;
    int result = 0;

    if (!form_nested(list, item, FORM_OPTIONAL, &one))
        return;
    object = cJSON_AddObjectToObject(made, item);
    form_choice(&one, "result", results, FORM_REQUIRED, &result);
    cJSON_AddStringToObject(object, "result", results[result]);
    read_number(&one, item, object);
    if (form_text(&one, "note", FORM_OPTIONAL, note, sizeof note))
        cJSON_AddStringToObject(object, "note", note);
    form_close(&one);
}

void care_checklist_read(struct form *form, char *out, size_t size)
{
    cJSON *made = cJSON_CreateObject();
    struct form list;
    char *text;

    if (form_nested(form, "checklist", FORM_OPTIONAL, &list)) {
        for (size_t i = 0; care_checklist_items[i] != NULL; i++)
            read_item(&list, care_checklist_items[i], made);
        form_close(&list);
    }
    text = json_print_and_delete(made);
    if (text == NULL || strlen(text) >= size)
        problem_add(form->problem, "text_too_long", "checklist",
                    "The notes of the checklist are too long.");
    else
        memcpy(out, text, strlen(text) + 1);
    free(text);
}

bool care_checklist_is_bad(const char *text, const char *item)
{
    enum json_fault fault;
    cJSON *tree = json_parse(text, strlen(text), &fault);
    const cJSON *one = cJSON_GetObjectItemCaseSensitive(tree, item);
    const cJSON *result = cJSON_GetObjectItemCaseSensitive(one, "result");
    bool is_bad = cJSON_IsString(result) && strcmp(result->valuestring, "bad") == 0;

    cJSON_Delete(tree);
    return is_bad;
}
