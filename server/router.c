#include "router.h"

#include <stdio.h>
#include <string.h>

#define ID_DIGITS_MAX 18 /* fits an int64_t */

/* A positive integer without leading zeros up to a slash or the end. */
static const char *read_id(const char *text, int64_t *out_id)
{
    int64_t id = 0;
    int digits = 0;

    if (*text < '1' || *text > '9')
        return NULL;
    for (; *text >= '0' && *text <= '9'; text++) {
        if (++digits > ID_DIGITS_MAX)
            return NULL;
        id = id * 10 + (*text - '0');
    }
    *out_id = id;
    return text;
}

/* Letters, digits and "_" up to anything else. */
static const char *skip_token(const char *text)
{
    size_t length = strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789_"
                                 "ABCDEFGHIJKLMNOPQRSTUVWXYZ");

    return length == 0 ? NULL : text + length;
}

static bool matches(const char *pattern, const char *path, int64_t *out_id)
{
    static const char id_mark[] = "{id}", token_mark[] = "{token}";
    const bool is_token = strstr(pattern, token_mark) != NULL;
    const char *mark = is_token ? token_mark : id_mark;
    const char *hole = strstr(pattern, mark);
    size_t before = hole == NULL ? 0 : (size_t)(hole - pattern);
    const char *rest;

    *out_id = 0;
    if (hole == NULL)
        return strcmp(pattern, path) == 0;
    if (strncmp(pattern, path, before) != 0)
        return false;
    rest = is_token ? skip_token(path + before) : read_id(path + before, out_id);
    return rest != NULL && strcmp(rest, hole + strlen(mark)) == 0;
}

static void allow(char *list, size_t size, const char *method)
{
    size_t used = strlen(list);

    snprintf(list + used, size - used, "%s%s%s", used ? ", " : "", method,
             strcmp(method, "GET") == 0 ? ", HEAD" : "");
}

enum route_found router_find(const char *method, const char *path,
                             const struct route **out_route, int64_t *out_id,
                             char *out_allow, size_t size)
{
    const char *wanted = strcmp(method, "HEAD") == 0 ? "GET" : method;
    int64_t id;

    out_allow[0] = '\0';
    for (const struct route *route = routes; route->method != NULL; route++) {
        if (!matches(route->pattern, path, &id))
            continue;
        if (strcmp(route->method, wanted) == 0) {
            *out_route = route;
            *out_id = id;
            return ROUTE_FOUND;
        }
        allow(out_allow, size, route->method);
    }
    return out_allow[0] == '\0' ? ROUTE_NO_PATH : ROUTE_NO_METHOD;
}
