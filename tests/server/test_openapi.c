/* The description of the interface against the table of routes, both ways: no route
 * without words, no words without a route, and the same demands in both. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <cjson/cJSON.h>

#include "server/router.h"
#include "tests/support/suite.h"

extern const char openapi_text[];

#define FAULTS_SIZE 4000

/* What differs, one line each. */
static char faults[FAULTS_SIZE];
static cJSON *document;

static void fault(const char *format, ...) __attribute__((format(printf, 1, 2)));

static void fault(const char *format, ...)
{
    size_t used = strlen(faults);
    va_list values;

    va_start(values, format);
    vsnprintf(faults + used, sizeof faults - used, format, values);
    va_end(values);
    used = strlen(faults);
    snprintf(faults + used, sizeof faults - used, "\n");
}

static const cJSON *member(const cJSON *object, const char *name)
{
    return cJSON_GetObjectItemCaseSensitive(object, name);
}

static const char *text_of(const cJSON *object, const char *name)
{
    const cJSON *item = member(object, name);

    return cJSON_IsString(item) ? item->valuestring : "";
}

/* A parameter, or what its reference leads to. */
static const cJSON *follow(const cJSON *parameter)
{
    static const char start[] = "#/components/parameters/";
    const char *reference = text_of(parameter, "$ref");

    if (strncmp(reference, start, sizeof start - 1) != 0)
        return parameter;
    return member(member(member(document, "components"), "parameters"),
                  reference + sizeof start - 1);
}

static bool has_parameter(const cJSON *operation, const char *place, const char *name)
{
    const cJSON *parameter;

    cJSON_ArrayForEach(parameter, member(operation, "parameters"))
    {
        const cJSON *one = follow(parameter);

        if (strcmp(text_of(one, "in"), place) == 0 &&
            strcmp(text_of(one, "name"), name) == 0)
            return true;
    }
    return false;
}

static bool list_holds(const char *list, const char *name)
{
    char padded[400], wanted[100];

    snprintf(padded, sizeof padded, " %s ", list == NULL ? "" : list);
    snprintf(wanted, sizeof wanted, " %s ", name);
    return strstr(padded, wanted) != NULL;
}

static void compare_queries(const struct route *route, const cJSON *operation)
{
    char copy[400];
    char *rest = NULL;
    const cJSON *parameter;

    cJSON_ArrayForEach(parameter, member(operation, "parameters"))
    {
        const cJSON *one = follow(parameter);

        if (strcmp(text_of(one, "in"), "query") == 0 &&
            !list_holds(route->queries, text_of(one, "name")))
            fault("%s %s: query %s is not read", route->method, route->pattern,
                  text_of(one, "name"));
    }
    snprintf(copy, sizeof copy, "%s", route->queries == NULL ? "" : route->queries);
    for (char *name = strtok_r(copy, " ", &rest); name != NULL;
         name = strtok_r(NULL, " ", &rest))
        if (!has_parameter(operation, "query", name))
            fault("%s %s: query %s is not described", route->method, route->pattern,
                  name);
}

static void compare_demand(const struct route *route, const cJSON *operation,
                           unsigned flag, const char *header)
{
    if (has_parameter(operation, "header", header) != ((route->flags & flag) != 0))
        fault("%s %s: header %s", route->method, route->pattern, header);
}

static void compare_body(const struct route *route, const cJSON *operation)
{
    const cJSON *content = member(member(operation, "requestBody"), "content");

    if ((member(content, "application/json") != NULL) !=
            ((route->flags & ROUTE_JSON_BODY) != 0) ||
        (member(content, "text/csv") != NULL) != ((route->flags & ROUTE_CSV_BODY) != 0))
        fault("%s %s: body", route->method, route->pattern);
}

static const cJSON *find_operation(const char *method, const char *pattern)
{
    char verb[16];
    size_t i;

    for (i = 0; method[i] != '\0' && i + 1 < sizeof verb; i++)
        verb[i] = (char)(method[i] | 0x20);
    verb[i] = '\0';
    return member(member(member(document, "paths"), pattern), verb);
}

static void compare_route(const struct route *route)
{
    const cJSON *operation = find_operation(route->method, route->pattern);

    if (operation == NULL) {
        fault("%s %s is not described", route->method, route->pattern);
        return;
    }
    compare_queries(route, operation);
    compare_demand(route, operation, ROUTE_KEY, "Idempotency-Key");
    compare_demand(route, operation, ROUTE_MATCH, "If-Match");
    compare_demand(route, operation, ROUTE_CHANGES, "Coilkeep-Change");
    compare_body(route, operation);
    if (member(member(operation, "responses"), "default") == NULL)
        fault("%s %s: refusals", route->method, route->pattern);
}

static bool is_routed(const struct route *table, const char *verb, const char *pattern)
{
    for (; table->method != NULL; table++)
        if (strcasecmp(table->method, verb) == 0 &&
            strcmp(table->pattern, pattern) == 0)
            return true;
    return false;
}

static void compare(const struct route *table)
{
    const cJSON *path, *operation;

    faults[0] = '\0';
    for (const struct route *route = table; route->method != NULL; route++)
        compare_route(route);
    cJSON_ArrayForEach(path, member(document, "paths"))
        cJSON_ArrayForEach(operation, path)
            if (!is_routed(table, operation->string, path->string))
                fault("%s %s leads nowhere", operation->string, path->string);
}

static void open_document(void)
{
    document = cJSON_Parse(openapi_text);
}

static void close_document(void)
{
    cJSON_Delete(document);
}

START_TEST(the_document_describes_every_route_and_nothing_else)
{
    ck_assert_ptr_nonnull(document);
    ck_assert_str_eq(text_of(document, "openapi"), "3.1.0");
    compare(routes);
    ck_assert_str_eq(faults, "");
}
END_TEST

START_TEST(a_route_without_words_is_found)
{
    static const struct route table[] = {
        {"GET", "/api/v1/site", ROUTE_READS, NULL, NULL},
        {"GET", "/api/v1/extra", ROUTE_READS, NULL, NULL},
        {0}};

    compare(table);
    ck_assert_ptr_nonnull(strstr(faults, "GET /api/v1/extra is not described\n"));
    ck_assert_ptr_null(strstr(faults, "GET /api/v1/site "));
    ck_assert_ptr_nonnull(strstr(faults, "put /api/v1/site leads nowhere\n"));
}
END_TEST

START_TEST(another_demand_is_found)
{
    static const struct route table[] = {
        {"PUT", "/api/v1/site", ROUTE_CHANGES | ROUTE_KEY | ROUTE_CSV_BODY, NULL,
         "colour"},
        {0}};

    compare(table);
    ck_assert_ptr_nonnull(strstr(faults, "PUT /api/v1/site: header Idempotency-Key\n"));
    ck_assert_ptr_nonnull(strstr(faults, "PUT /api/v1/site: header If-Match\n"));
    ck_assert_ptr_nonnull(strstr(faults, "PUT /api/v1/site: body\n"));
    ck_assert_ptr_nonnull(
        strstr(faults, "PUT /api/v1/site: query colour is not described\n"));
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("openapi");

    tcase_add_unchecked_fixture(tcase, open_document, close_document);
    tcase_add_test(tcase, the_document_describes_every_route_and_nothing_else);
    tcase_add_test(tcase, a_route_without_words_is_found);
    tcase_add_test(tcase, another_demand_is_found);
    return suite_run("openapi", tcase);
}
