/* The table of routes: what finds what. */
#include <string.h>

#include "server/router.h"
#include "tests/support/suite.h"

static const struct route *route;
static int64_t id;
static char allow[64];

static enum route_found find(const char *method, const char *path)
{
    route = NULL;
    id = -1;
    return router_find(method, path, &route, &id, allow, sizeof allow);
}

START_TEST(router_finds_by_method_and_path)
{
    ck_assert_int_eq(find("GET", "/api/v1/site"), ROUTE_FOUND);
    ck_assert_str_eq(route->pattern, "/api/v1/site");
    ck_assert_str_eq(route->method, "GET");
    ck_assert_int_eq(id, 0);
    ck_assert_int_eq(find("PUT", "/api/v1/site"), ROUTE_FOUND);
    ck_assert_str_eq(route->method, "PUT");
    ck_assert_int_eq(find("HEAD", "/api/v1/site"), ROUTE_FOUND);
    ck_assert_str_eq(route->method, "GET");
}
END_TEST

START_TEST(router_reads_the_id)
{
    ck_assert_int_eq(find("GET", "/api/v1/readings/123"), ROUTE_FOUND);
    ck_assert_int_eq(id, 123);
    ck_assert_int_eq(find("POST", "/api/v1/readings/999999999999999999/correction"),
                     ROUTE_FOUND);
    ck_assert_int_eq(id, 999999999999999999);
    ck_assert_str_eq(route->pattern, "/api/v1/readings/{id}/correction");
}
END_TEST

START_TEST(router_refuses_what_is_no_id)
{
    static const char *const paths[] = {
        "/api/v1/readings/",
        "/api/v1/readings/0",
        "/api/v1/readings/01",
        "/api/v1/readings/-1",
        "/api/v1/readings/+1",
        "/api/v1/readings/1x",
        "/api/v1/readings/1/",
        "/api/v1/readings/%31",
        "/api/v1/readings/1000000000000000000",
        "/api/v1/readings/1/corrections",
        "/api/v1/readingsx/1",
        "/api/v1/readings//1",
    };

    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++)
        ck_assert_msg(find("GET", paths[i]) == ROUTE_NO_PATH, "%s", paths[i]);
}
END_TEST

START_TEST(router_lists_the_methods_of_a_path)
{
    ck_assert_int_eq(find("DELETE", "/api/v1/readings"), ROUTE_NO_METHOD);
    ck_assert_str_eq(allow, "GET, HEAD, POST");
    ck_assert_int_eq(find("POST", "/api/v1/waters/7"), ROUTE_NO_METHOD);
    ck_assert_str_eq(allow, "GET, HEAD, PUT");
    ck_assert_int_eq(find("HEAD", "/api/v1/import"), ROUTE_NO_METHOD);
    ck_assert_str_eq(allow, "POST");
    ck_assert_int_eq(find("get", "/api/v1/site"), ROUTE_NO_METHOD);
}
END_TEST

/* A kept answer would keep the secret in it; these may come twice without harm. */
static bool shows_a_secret_or_ends_a_login(const struct route *one)
{
    return one->prepare != NULL ||
           strcmp(one->pattern, "/api/v1/tokens/{id}/issue") == 0 ||
           strcmp(one->pattern, "/api/v1/backups/{id}/restoration") == 0 ||
           strcmp(one->pattern, "/api/v1/session/end") == 0;
}

START_TEST(routes_are_complete_and_unique)
{
    for (const struct route *one = routes; one->method != NULL; one++) {
        bool changes = strcmp(one->method, "GET") != 0;

        ck_assert_msg(one->handler != NULL, "%s", one->pattern);
        ck_assert_msg(one->pattern[0] == '/', "%s", one->pattern);
        /* no safe method changes anything, and every other one goes through the gate */
        ck_assert_msg(changes == ((one->flags & ROUTE_CHANGES) != 0), "%s %s",
                      one->method, one->pattern);
        if (strcmp(one->method, "POST") == 0)
            ck_assert_msg((one->flags & (ROUTE_KEY | ROUTE_AT_ONCE)) ||
                              shows_a_secret_or_ends_a_login(one),
                          "%s has no key", one->pattern);
        if (strcmp(one->method, "PUT") == 0)
            ck_assert_msg(one->flags & ROUTE_MATCH, "%s has no match", one->pattern);
        for (const struct route *other = routes; other < one; other++)
            ck_assert_msg(strcmp(one->method, other->method) != 0 ||
                              strcmp(one->pattern, other->pattern) != 0,
                          "%s %s twice", one->method, one->pattern);
    }
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("router");

    tcase_add_test(tcase, router_finds_by_method_and_path);
    tcase_add_test(tcase, router_reads_the_id);
    tcase_add_test(tcase, router_refuses_what_is_no_id);
    tcase_add_test(tcase, router_lists_the_methods_of_a_path);
    tcase_add_test(tcase, routes_are_complete_and_unique);
    return suite_run("router", tcase);
}
