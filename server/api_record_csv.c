/* The record as lines of CSV: one line for each value, with where it stands. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "json.h"
#include "record_json.h"

#define MEMBER_SIZE 200

struct pen {
    char *text;
    size_t length, size;
    bool failed;
};

static void put_bytes(struct pen *pen, const char *bytes, size_t length)
{
    if (!pen->failed && pen->length + length + 1 > pen->size) {
        size_t size = (pen->size + length + 1024) * 2;
        char *bigger = realloc(pen->text, size);

        pen->failed = bigger == NULL;
        if (!pen->failed) {
            pen->text = bigger;
            pen->size = size;
        }
    }
    if (pen->failed)
        return;
    memcpy(pen->text + pen->length, bytes, length);
    pen->length += length;
    pen->text[pen->length] = '\0';
}

static void put(struct pen *pen, const char *text)
{
    put_bytes(pen, text, strlen(text));
}

/* A text that a spreadsheet would take for a formula, or that looks guarded. */
static bool needs_guard(const char *text)
{
    return text[0] != '\0' && strchr("=+-@\t\r'", text[0]) != NULL;
}

static void put_text(struct pen *pen, const char *text)
{
    put(pen, "\"");
    if (needs_guard(text))
        put(pen, "'");
    for (; *text != '\0'; text++) {
        if (*text == '"')
            put(pen, "\"");
        put_bytes(pen, text, 1);
    }
    put(pen, "\"");
}

static void put_value(struct pen *pen, const cJSON *value)
{
    char *text;

    if (cJSON_IsString(value)) {
        put_text(pen, value->valuestring);
        return;
    }
    if (cJSON_IsNull(value))
        return; /* empty: not known */
    text = cJSON_PrintUnformatted(value);
    if (text == NULL)
        pen->failed = true;
    else
        put(pen, text);
    free(text);
}

/* entry: "" outside a list. Depth is bounded by the record's own shape. */
static void put_tree(struct pen *pen, const char *section, const char *entry,
                     const char *member, const cJSON *value)
{
    const bool is_list = cJSON_IsArray(value);
    char name[MEMBER_SIZE];
    const cJSON *child;
    int index = 0;

    if (!is_list && !cJSON_IsObject(value)) {
        put(pen, section);
        put(pen, ",");
        put(pen, entry);
        put(pen, ",");
        put(pen, member);
        put(pen, ",");
        put_value(pen, value);
        put(pen, "\r\n");
        return;
    }
    cJSON_ArrayForEach(child, value)
    {
        char number[16];

        snprintf(number, sizeof number, "%d", ++index);
        if (is_list && entry[0] == '\0') {
            put_tree(pen, section, number, member, child);
            continue;
        }
        snprintf(name, sizeof name, "%s%s%s", member, member[0] == '\0' ? "" : ".",
                 is_list ? number : child->string);
        put_tree(pen, section, entry, name, child);
    }
}

/* A tree whose numbers stand as raw texts, made whole by reading it again. */
static cJSON *read_again(const cJSON *tree)
{
    char *text = cJSON_PrintUnformatted(tree);
    enum json_fault fault;
    cJSON *made = text == NULL ? NULL : json_parse(text, strlen(text), &fault);

    free(text);
    return made;
}

char *record_csv(const cJSON *record)
{
    struct pen pen = {0};
    cJSON *whole = read_again(record);
    const cJSON *section;

    if (whole == NULL)
        return NULL;
    put(&pen, "section,entry,member,value\r\n");
    cJSON_ArrayForEach(section, whole)
    {
        put_tree(&pen, section->string, "", "", section);
    }
    cJSON_Delete(whole);
    if (!pen.failed)
        return pen.text;
    free(pen.text);
    return NULL;
}
