/* The rules for every call, on requests made by hand: Host, query, keys, tags, routes.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/assets.h"
#include "server/gate.h"
#include "server/host.h"
#include "server/problem.h"
#include "server/proxy.h"
#include "server/query.h"
#include "tests/support/suite.h"

/* ---- Host ---- */

static const struct {
    const char *host;
    bool ours;
} hosts[] = {
    {"127.0.0.1:8425", true},
    {"localhost:8425", true},
    {"LocalHost:8425", true},
    {"[::1]:8425", true},
    {"10.1.2.3:8425", true},
    {"box.local:8425", true},
    {"BOX.Local:8425", true},
    {"box-2.local:8425", true},
    {"box-999.local:8425", true},
    {"box-1000.local:8425", false},
    {"box-.local:8425", false},
    {"box-2x.local:8425", false},
    {"box:8425", false},
    {"abox.local:8425", false},
    {"boxy.local:8425", false},
    {"box.local.:8425", false},
    {"box.local.evil.test:8425", false},
    {"evil.test:8425", false},
    {"evil.test", false},
    {"", false},
    {":8425", false},
    {"127.0.0.1", false},
    {"127.0.0.1:", false},
    {"127.0.0.1:0", false},
    {"127.0.0.1:08425", false},
    {"127.0.0.1:84250", false},
    {"127.0.0.1:8425 ", false},
    {" 127.0.0.1:8425", false},
    {"127.0.0.1:8425x", false},
    {"127.0.0.1:-1", false},
    {"a@127.0.0.1:8425", false},
    {"127.1:8425", false},
    {"0177.0.0.1:8425", false},
    {"[::1:8425", false},
    {"::1:8425", false},
    {"[]:8425", false},
    {"[::1]", false},
    {"[fe80::1%eth0]:8425", false},
    {"[1.2.3.4]:8425", false},
};

START_TEST(host_is_ours_knows_the_allow_list)
{
    const struct host_rules rules = {8425, "box", NULL};

    ck_assert_msg(host_is_ours(&rules, hosts[_i].host) == hosts[_i].ours, "%s",
                  hosts[_i].host);
}
END_TEST

START_TEST(names_of_the_configuration_are_ours_as_written_or_with_our_port)
{
    static const char names[CONFIG_LIST_MAX][CONFIG_WORD_SIZE] = {"pool.example",
                                                                  "box.example:8443"};
    const struct host_rules rules = {8425, "box", names};

    ck_assert(host_is_ours(&rules, "pool.example"));
    ck_assert(host_is_ours(&rules, "Pool.Example:8425"));
    ck_assert(host_is_ours(&rules, "box.example:8443"));
    ck_assert(!host_is_ours(&rules, "pool.example:8443"));
    ck_assert(!host_is_ours(&rules, "box.example"));
    ck_assert(!host_is_ours(&rules, "pool.example.evil.test"));
    ck_assert(!host_is_ours(&rules, ""));
    ck_assert(host_is_ours(&rules, "box.local:8425"));
}
END_TEST

/* Each proxy adds the address that it saw at the end (common practice of proxies). */
START_TEST(a_proxy_is_believed_from_its_address_only)
{
    static const char proxies[CONFIG_LIST_MAX][CONFIG_WORD_SIZE] = {"10.0.0.1", "::1"};
    static const struct {
        const char *peer, *chain, *proto, *expected;
        bool secure;
    } rows[] = {
        {"10.0.0.1", "192.168.1.7", "https", "192.168.1.7", true},
        {"10.0.0.1", "192.168.1.7", "http", "192.168.1.7", false},
        {"10.0.0.1", "192.168.1.7", NULL, "192.168.1.7", false},
        {"10.0.0.2", "192.168.1.7", "https", "10.0.0.2", false},
        {"10.0.0.1", "6.6.6.6, 192.168.1.7", "https", "192.168.1.7", true},
        {"10.0.0.1", "6.6.6.6,192.168.1.7 , 10.0.0.1", "https", "192.168.1.7", true},
        {"10.0.0.1", "fe80::1", "https", "fe80::1", true},
        {"0:0:0:0:0:0:0:1", "192.168.1.7", "https", "192.168.1.7", true},
        {"10.0.0.1", "rubbish", "https", "10.0.0.1", true},
        {"10.0.0.1", "192.168.1.7, ", "https", "10.0.0.1", true},
        {"10.0.0.1", "", "https", "10.0.0.1", true},
        {"10.0.0.1", NULL, "https", "10.0.0.1", true},
    };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char peer[PROXY_PEER_SIZE];

        strcpy(peer, rows[i].peer);
        ck_assert_int_eq(proxy_read(proxies, rows[i].chain, rows[i].proto, peer),
                         rows[i].secure);
        ck_assert_str_eq(peer, rows[i].expected);
    }
}
END_TEST

START_TEST(host_without_port_is_ours_on_port_80_only)
{
    const struct host_rules rules = {80, "box", NULL};
    char longest[300];

    ck_assert(host_is_ours(&rules, "127.0.0.1"));
    ck_assert(host_is_ours(&rules, "box.local"));
    ck_assert(host_is_ours(&rules, "[::1]"));
    ck_assert(host_is_ours(&rules, "localhost:80"));
    ck_assert(!host_is_ours(&rules, "localhost:8425"));
    memset(longest, '1', sizeof longest);
    longest[sizeof longest - 1] = '\0';
    ck_assert(!host_is_ours(&rules, longest));
}
END_TEST

START_TEST(host_without_a_machine_name_has_no_local_name)
{
    const struct host_rules rules = {8425, ""};

    ck_assert(!host_is_ours(&rules, ".local:8425"));
    ck_assert(!host_is_ours(&rules, "-2.local:8425"));
    ck_assert(host_is_ours(&rules, "localhost:8425"));
}
END_TEST

/* ---- query ---- */

static struct request req;
static struct problem problem;
static char query_text[2100];

static void parse(const char *text)
{
    memset(&req, 0, sizeof req);
    problem_init(&problem);
    snprintf(query_text, sizeof query_text, "%s", text);
    query_parse(query_text, &req, &problem);
}

START_TEST(query_parse_splits_and_decodes)
{
    parse("water=1&by=Da%C3%B1a+B&flag&empty=&eq=a%3Db=c&pct=100%25");
    ck_assert_uint_eq(problem.count, 0);
    ck_assert_uint_eq(req.query_count, 6);
    ck_assert_str_eq(request_query(&req, "water"), "1");
    ck_assert_str_eq(request_query(&req, "by"), "Da\xc3\xb1"
                                                "a B");
    ck_assert_str_eq(request_query(&req, "flag"), "");
    ck_assert_str_eq(request_query(&req, "empty"), "");
    ck_assert_str_eq(request_query(&req, "eq"), "a=b=c");
    ck_assert_str_eq(request_query(&req, "pct"), "100%");
    ck_assert_ptr_null(request_query(&req, "Water"));
    parse("");
    ck_assert_uint_eq(req.query_count, 0);
}
END_TEST

static const struct {
    const char *text, *code;
} bad_queries[] = {
    {"a=%", "query_invalid"},        {"a=%4", "query_invalid"},
    {"a=%zz", "query_invalid"},      {"a=%00", "query_invalid"},
    {"a=%0a", "query_invalid"},      {"a=%7f", "query_invalid"},
    {"a=%ff", "query_invalid"},      {"a=%c0%af", "query_invalid"},
    {"%ff=a", "query_invalid"},      {"a=1&a=1", "query_repeated"},
    {"a=1&%61=2", "query_repeated"}, {"=1&=2", "query_repeated"},
};

START_TEST(query_parse_refuses_what_is_malformed_or_twice)
{
    parse(bad_queries[_i].text);
    ck_assert_int_eq(problem.status, 400);
    ck_assert_uint_eq(problem.count, 1);
    ck_assert_str_eq(problem.faults[0].code, bad_queries[_i].code);
}
END_TEST

START_TEST(query_parse_takes_as_many_parts_as_there_is_room)
{
    char text[400] = "";

    for (int i = 0; i < REQUEST_QUERY_MAX; i++)
        snprintf(text + strlen(text), 10, "%sq%d=1", i ? "&" : "", i);
    parse(text);
    ck_assert_uint_eq(problem.count, 0);
    strcat(text, "&more=1");
    parse(text);
    ck_assert_uint_eq(problem.count, 1);
    ck_assert_str_eq(problem.faults[0].code, "query_too_many");
}
END_TEST

START_TEST(gate_lets_only_the_names_of_the_route)
{
    const struct route route = {"GET", "/x", 0, NULL, "water limit before"};
    const struct route bare = {"GET", "/x", 0, NULL, NULL};
    struct reply reply = {0};

    parse("water=1&before=2");
    ck_assert(gate_lets_query(&req, &route, &reply));
    ck_assert(!gate_lets_query(&req, &bare, &reply));
    ck_assert_int_eq(reply.status, 400);
    parse("");
    ck_assert(gate_lets_query(&req, &bare, &reply));
    parse("wat=1");
    ck_assert(!gate_lets_query(&req, &route, &reply));
    parse("water%20limit=1");
    ck_assert(!gate_lets_query(&req, &route, &reply));
    parse("=1");
    ck_assert(!gate_lets_query(&req, &route, &reply));
    reply_finish(&reply);
}
END_TEST

/* ---- changes ---- */

static struct request own_change(void)
{
    struct request own = {.method = "POST",
                          .host = "127.0.0.1:8425",
                          .origin = "http://127.0.0.1:8425",
                          .content_type = "application/json",
                          .change_header = "1",
                          .idempotency_key = "abcdefgh"};
    return own;
}

static int status_of(const struct request *change, unsigned flags)
{
    const struct route route = {"POST", "/x", flags, NULL, NULL};
    struct reply reply = {0};
    int status = gate_lets_change(change, &route, &reply) ? 0 : reply.status;

    reply_finish(&reply);
    return status;
}

START_TEST(gate_lets_our_own_changes)
{
    struct request own = own_change();

    ck_assert_int_eq(status_of(&own, ROUTE_CHANGES | ROUTE_KEY), 0);
    own.sec_fetch_site = "same-origin";
    ck_assert_int_eq(status_of(&own, ROUTE_CHANGES | ROUTE_KEY), 0);
    own.content_type = "text/csv";
    ck_assert_int_eq(status_of(&own, ROUTE_CHANGES | ROUTE_CSV_BODY), 0);
    own.host = "box.local:8425";
    own.origin = "http://BOX.local:8425";
    ck_assert_int_eq(status_of(&own, ROUTE_CHANGES | ROUTE_CSV_BODY), 0);
    memset(&own, 0, sizeof own);
    ck_assert_int_eq(status_of(&own, ROUTE_READS), 0);
}
END_TEST

START_TEST(gate_refuses_each_wrong_signal)
{
    const unsigned flags = ROUTE_CHANGES | ROUTE_KEY | ROUTE_MATCH;
    static const char *const origins[] = {NULL,
                                          "",
                                          "null",
                                          "http://",
                                          "https://127.0.0.1:8425",
                                          "http://127.0.0.1:8426",
                                          "http://127.0.0.1",
                                          "http://127.0.0.1:8425/",
                                          "127.0.0.1:8425"};
    struct request bad;

    for (size_t i = 0; i < sizeof origins / sizeof origins[0]; i++) {
        bad = own_change();
        bad.origin = origins[i];
        ck_assert_int_eq(status_of(&bad, flags), 403);
    }
    bad = own_change();
    bad.change_header = NULL;
    ck_assert_int_eq(status_of(&bad, flags), 403);
    bad = own_change();
    bad.sec_fetch_site = "same-site";
    ck_assert_int_eq(status_of(&bad, flags), 403);
    bad = own_change();
    bad.content_type = NULL;
    ck_assert_int_eq(status_of(&bad, flags), 415);
    bad = own_change();
    bad.idempotency_key = NULL;
    ck_assert_int_eq(status_of(&bad, flags), 400);
    bad = own_change();
    ck_assert_int_eq(status_of(&bad, flags), 428);
    bad.if_match = "\"x\"";
    ck_assert_int_eq(status_of(&bad, flags), 0);
}
END_TEST

START_TEST(gate_keys_have_a_form)
{
    char key[70];

    ck_assert(gate_key_is_good("12345678"));
    ck_assert(gate_key_is_good("6fa459ea-ee8a-3ca4-894e-db77e160355e"));
    ck_assert(!gate_key_is_good("1234567"));
    ck_assert(!gate_key_is_good("1234567_"));
    ck_assert(!gate_key_is_good("1234567 "));
    ck_assert(!gate_key_is_good("1234567\xc3\xa9"));
    ck_assert(!gate_key_is_good(""));
    memset(key, 'a', sizeof key);
    key[64] = '\0';
    ck_assert(gate_key_is_good(key));
    key[64] = 'a';
    key[65] = '\0';
    ck_assert(!gate_key_is_good(key));
}
END_TEST

START_TEST(gate_body_sizes_follow_the_route)
{
    const struct route reads = {"GET", "/", ROUTE_READS, NULL, NULL};
    const struct route json = {"POST", "/", ROUTE_CHANGES | ROUTE_JSON_BODY, NULL,
                               NULL};
    const struct route csv = {"POST", "/", ROUTE_CHANGES | ROUTE_CSV_BODY, NULL, NULL};

    ck_assert_uint_eq(gate_body_max(NULL), 0);
    ck_assert_uint_eq(gate_body_max(&reads), 0);
    ck_assert_uint_eq(gate_body_max(&json), 65536);
    ck_assert_uint_eq(gate_body_max(&csv), 67108864);
}
END_TEST

START_TEST(gate_tags_are_compared_strongly)
{
    ck_assert(gate_tag_listed("\"a\"", "\"a\""));
    ck_assert(gate_tag_listed("\"b\", \"a\"", "\"a\""));
    ck_assert(gate_tag_listed(" \"b\",\"a\" ,\"c\"", "\"a\""));
    ck_assert(gate_tag_listed("*", "\"a\""));
    ck_assert(!gate_tag_listed("W/\"a\"", "\"a\""));
    ck_assert(!gate_tag_listed("\"aa\"", "\"a\""));
    ck_assert(!gate_tag_listed("a", "\"a\""));
    ck_assert(!gate_tag_listed("\"a\"b", "\"a\""));
    ck_assert(!gate_tag_listed("", "\"a\""));
    ck_assert(!gate_tag_listed(" , ,", "\"a\""));
}
END_TEST

START_TEST(gzip_is_welcome_when_named_with_weight)
{
    ck_assert(assets_gzip_is_welcome("gzip"));
    ck_assert(assets_gzip_is_welcome("br, GZIP;q=0.5"));
    ck_assert(assets_gzip_is_welcome("deflate,gzip"));
    ck_assert(assets_gzip_is_welcome("gzip ; q=1"));
    ck_assert(!assets_gzip_is_welcome(NULL));
    ck_assert(!assets_gzip_is_welcome(""));
    ck_assert(!assets_gzip_is_welcome("br"));
    ck_assert(!assets_gzip_is_welcome("gzip;q=0"));
    ck_assert(!assets_gzip_is_welcome("gzip;q=0.000, br"));
    ck_assert(!assets_gzip_is_welcome("x-gzip"));
    ck_assert(!assets_gzip_is_welcome("*"));
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("gate");

    tcase_add_loop_test(tcase, host_is_ours_knows_the_allow_list, 0,
                        (int)(sizeof hosts / sizeof hosts[0]));
    tcase_add_test(tcase, host_without_port_is_ours_on_port_80_only);
    tcase_add_test(tcase,
                   names_of_the_configuration_are_ours_as_written_or_with_our_port);
    tcase_add_test(tcase, a_proxy_is_believed_from_its_address_only);
    tcase_add_test(tcase, host_without_a_machine_name_has_no_local_name);
    tcase_add_test(tcase, query_parse_splits_and_decodes);
    tcase_add_loop_test(tcase, query_parse_refuses_what_is_malformed_or_twice, 0,
                        (int)(sizeof bad_queries / sizeof bad_queries[0]));
    tcase_add_test(tcase, query_parse_takes_as_many_parts_as_there_is_room);
    tcase_add_test(tcase, gate_lets_only_the_names_of_the_route);
    tcase_add_test(tcase, gate_lets_our_own_changes);
    tcase_add_test(tcase, gate_refuses_each_wrong_signal);
    tcase_add_test(tcase, gate_keys_have_a_form);
    tcase_add_test(tcase, gate_body_sizes_follow_the_route);
    tcase_add_test(tcase, gate_tags_are_compared_strongly);
    tcase_add_test(tcase, gzip_is_welcome_when_named_with_weight);
    return suite_run("gate", tcase);
}
