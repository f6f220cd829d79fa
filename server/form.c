#include "form.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "json.h"
#include "utf8.h"

/* Beyond this a double no longer holds every whole number. */
#define EXACT_INTEGER_MAX 9007199254740992.0

static void add_fault(struct form *form, const char *code, const char *member,
                      const char *format, ...) __attribute__((format(printf, 4, 5)));

static void add_fault(struct form *form, const char *code, const char *member,
                      const char *format, ...)
{
    char field[sizeof form->prefix + 64];
    char detail[sizeof form->problem->faults[0].detail];
    va_list values;

    snprintf(field, sizeof field, "%s%s", form->prefix, member);
    va_start(values, format);
    vsnprintf(detail, sizeof detail, format, values);
    va_end(values);
    problem_add(form->problem, code, field, "%s", detail);
}

void form_open(struct form *form, const struct request *req, struct problem *problem)
{
    enum json_fault fault;

    memset(form, 0, sizeof *form);
    form->problem = problem;
    form->root = json_parse((const char *)req->body, req->body_length, &fault);
    form->owns_root = true;
    if (form->root == NULL) {
        problem->status = fault == JSON_NO_MEMORY ? 500 : 400;
        problem_add(problem, fault == JSON_NO_MEMORY ? "no_memory" : "json_invalid", "",
                    "%s", json_fault_text(fault));
    } else if (!cJSON_IsObject(form->root)) {
        problem->status = 400;
        problem_add(problem, "json_invalid", "", "The body is not a JSON object.");
    } else {
        form->object = form->root;
    }
}

const cJSON *form_member(struct form *form, const char *member)
{
    if (form->asked_count < FORM_MEMBERS_MAX)
        form->asked[form->asked_count++] = member;
    if (form->object == NULL)
        return NULL;
    return cJSON_GetObjectItemCaseSensitive(form->object, member);
}

/* The member, or NULL when absent or null; a fault then if it is required. */
static const cJSON *find(struct form *form, const char *member, enum form_need need)
{
    const cJSON *item = form_member(form, member);

    if (item != NULL && !cJSON_IsNull(item))
        return item;
    if (need == FORM_REQUIRED && form->object != NULL)
        add_fault(form, "member_missing", member, "%s is missing.", member);
    return NULL;
}

bool form_nested(struct form *parent, const char *member, enum form_need need,
                 struct form *out_child)
{
    const cJSON *item = find(parent, member, need);

    memset(out_child, 0, sizeof *out_child);
    out_child->problem = parent->problem;
    snprintf(out_child->prefix, sizeof out_child->prefix, "%.20s%.40s.", parent->prefix,
             member);
    if (item == NULL)
        return false;
    if (!cJSON_IsObject(item)) {
        add_fault(parent, "wrong_type", member, "%s must be an object.", member);
        return false;
    }
    out_child->object = item;
    return true;
}

static bool was_asked(const struct form *form, const char *name)
{
    for (size_t i = 0; i < form->asked_count; i++)
        if (strcmp(form->asked[i], name) == 0)
            return true;
    return false;
}

void form_close(struct form *form)
{
    const cJSON *child;

    if (form->object != NULL) {
        cJSON_ArrayForEach(child, form->object)
        {
            if (!was_asked(form, child->string))
                add_fault(form, "member_unknown", child->string,
                          "%.60s is not known here.", child->string);
        }
    }
    form->object = NULL;
    if (form->owns_root)
        cJSON_Delete(form->root);
    form->root = NULL;
}

bool form_number(struct form *form, const char *member, enum form_need need,
                 double *out_value)
{
    const cJSON *item = find(form, member, need);

    if (item == NULL)
        return false;
    if (!cJSON_IsNumber(item)) {
        add_fault(form, "wrong_type", member, "%s must be a number.", member);
        return false;
    }
    *out_value = item->valuedouble;
    return true;
}

bool form_integer(struct form *form, const char *member, int64_t low, int64_t high,
                  enum form_need need, int64_t *out_value)
{
    double value;

    if (!form_number(form, member, need, &value))
        return false;
    if (value != floor(value)) {
        add_fault(form, "wrong_type", member, "%s must be a whole number.", member);
        return false;
    }
    if (!(fabs(value) <= EXACT_INTEGER_MAX) || (int64_t)value < low ||
        (int64_t)value > high) {
        add_fault(form, "out_of_range", member, "%s is out of range.", member);
        return false;
    }
    *out_value = (int64_t)value;
    return true;
}

bool form_e6(struct form *form, const char *member, double low, double high,
             enum form_need need, int64_t *out_value_e6)
{
    double value;

    if (!form_number(form, member, need, &value))
        return false;
    if (!(value >= low && value <= high && fabs(value) * 1e6 <= EXACT_INTEGER_MAX)) {
        add_fault(form, "out_of_range", member, "%s must be from %g to %g.", member,
                  low, high);
        return false;
    }
    *out_value_e6 = llround(value * 1e6);
    return true;
}

bool form_flag(struct form *form, const char *member, enum form_need need, bool *out)
{
    const cJSON *item = find(form, member, need);

    if (item == NULL)
        return false;
    if (!cJSON_IsBool(item)) {
        add_fault(form, "wrong_type", member, "%s must be true or false.", member);
        return false;
    }
    *out = cJSON_IsTrue(item);
    return true;
}

/* Line feeds and tabs may stand in notes; other control characters (also C1) may not.
 */
static bool has_odd_control(const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char byte = (unsigned char)text[i];

        if ((byte < 0x20 && byte != '\n' && byte != '\t') || byte == 0x7f)
            return true;
        if (byte == 0xc2 && i + 1 < length && (unsigned char)text[i + 1] < 0xa0)
            return true;
    }
    return false;
}

bool form_text(struct form *form, const char *member, enum form_need need, char *out,
               size_t size)
{
    const cJSON *item = find(form, member, need);
    const char *start;
    size_t length;

    if (item == NULL)
        return false;
    if (!cJSON_IsString(item)) {
        add_fault(form, "wrong_type", member, "%s must be a text.", member);
        return false;
    }
    start = item->valuestring + strspn(item->valuestring, " \t\r\n");
    length = strlen(start);
    while (length > 0 && strchr(" \t\r\n", start[length - 1]) != NULL)
        length--;
    if (length == 0) {
        if (need == FORM_REQUIRED)
            add_fault(form, "member_missing", member, "%s is empty.", member);
        return false;
    }
    if (length >= size) {
        add_fault(form, "text_too_long", member, "%s is longer than %zu bytes.", member,
                  size - 1);
        return false;
    }
    if (has_odd_control(start, length)) {
        add_fault(form, "text_invalid", member, "%s holds a control character.",
                  member);
        return false;
    }
    memcpy(out, start, length);
    out[length] = '\0';
    return true;
}

bool form_choice(struct form *form, const char *member, const char *const *names,
                 enum form_need need, int *out_index)
{
    const cJSON *item = find(form, member, need);
    char list[160] = "";

    if (item == NULL)
        return false;
    if (!cJSON_IsString(item)) {
        add_fault(form, "wrong_type", member, "%s must be a text.", member);
        return false;
    }
    for (int i = 0; names[i] != NULL; i++) {
        size_t used = strlen(list);

        if (strcmp(names[i], item->valuestring) == 0) {
            *out_index = i;
            return true;
        }
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", names[i]);
    }
    add_fault(form, "not_in_list", member, "%s must be one of: %s.", member, list);
    return false;
}
