#include "json.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "json_check.h"

static int compare_names(const void *left, const void *right)
{
    return strcmp(*(const char *const *)left, *(const char *const *)right);
}

/* Sorting first, since a body may hold thousands of members. */
static enum json_fault find_duplicates_in(const cJSON *object)
{
    enum json_fault fault = JSON_OK;
    size_t count = 0;
    const cJSON *child;
    const char **names;

    cJSON_ArrayForEach(child, object) count++;
    if (count < 2)
        return JSON_OK;
    names = malloc(count * sizeof *names);
    if (names == NULL)
        return JSON_NO_MEMORY;
    count = 0;
    cJSON_ArrayForEach(child, object) names[count++] = child->string;
    qsort(names, count, sizeof *names, compare_names);
    for (size_t i = 1; i < count && fault == JSON_OK; i++)
        if (strcmp(names[i - 1], names[i]) == 0)
            fault = JSON_DUPLICATE_MEMBER;
    free(names);
    return fault;
}

/* Recursion is bounded: json_check has refused depths over JSON_DEPTH_MAX. */
static enum json_fault find_duplicates(const cJSON *node)
{
    enum json_fault fault = cJSON_IsObject(node) ? find_duplicates_in(node) : JSON_OK;
    const cJSON *child;

    if (!cJSON_IsObject(node) && !cJSON_IsArray(node))
        return JSON_OK;
    cJSON_ArrayForEach(child, node)
    {
        if (fault != JSON_OK)
            return fault;
        fault = find_duplicates(child);
    }
    return fault;
}

cJSON *json_parse(const char *text, size_t length, enum json_fault *out_fault)
{
    cJSON *tree = NULL;
    char *copy = malloc(length + 1);

    *out_fault = JSON_NO_MEMORY;
    if (copy == NULL)
        return NULL;
    if (length > 0)
        memcpy(copy, text, length);
    copy[length] = '\0';
    *out_fault = json_check(copy, length);
    if (*out_fault == JSON_OK) {
        /* what was checked parses; only memory can be missing now */
        tree = cJSON_ParseWithLengthOpts(copy, length + 1, NULL, true);
        *out_fault = tree == NULL ? JSON_NO_MEMORY : find_duplicates(tree);
    }
    free(copy);
    if (*out_fault != JSON_OK) {
        cJSON_Delete(tree);
        return NULL;
    }
    return tree;
}

const char *json_fault_text(enum json_fault fault)
{
    switch (fault) {
    case JSON_OK:
        return "The JSON is well formed.";
    case JSON_EMPTY:
        return "The body is empty; a JSON object belongs there.";
    case JSON_SYNTAX:
        return "The body is not well-formed JSON.";
    case JSON_NOT_UTF8:
        return "The body is not well-formed UTF-8.";
    case JSON_CONTROL_BYTE:
        return "The body holds a NUL or control byte inside a text.";
    case JSON_DUPLICATE_MEMBER:
        return "The body names one member twice.";
    case JSON_TOO_DEEP:
        return "The body nests deeper than 8 levels.";
    case JSON_NUMBER_RANGE:
        return "The body holds a number too large to keep.";
    case JSON_NO_MEMORY:
        break;
    }
    return "The daemon is out of memory.";
}

char *json_print_and_delete(cJSON *tree)
{
    char *text = tree == NULL ? NULL : cJSON_PrintUnformatted(tree);

    cJSON_Delete(tree);
    return text;
}
