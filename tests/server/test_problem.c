/* Refusals as RFC 9457 wants them, readable by any JSON parser whatever stands in them.
 */
#include <stdlib.h>
#include <string.h>

#include "server/json.h"
#include "server/problem.h"
#include "server/utf8.h"
#include "tests/support/suite.h"

static cJSON *parse_reply(const struct reply *reply)
{
    enum json_fault fault;
    cJSON *tree = json_parse(reply->body, reply->body_length, &fault);

    ck_assert_msg(tree != NULL, "fault %d in %.*s", fault, (int)reply->body_length,
                  (const char *)reply->body);
    return tree;
}

static const char *text_of(const cJSON *object, const char *member)
{
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, member);

    ck_assert_msg(cJSON_IsString(item), "%s is no text", member);
    return item->valuestring;
}

START_TEST(reply_refuse_sends_one_fault)
{
    struct reply reply = {0};
    cJSON *tree;

    reply_refuse(&reply, 412, "changed_meanwhile", "name", "Changed by %s.", "Dana");
    ck_assert_int_eq(reply.status, 412);
    ck_assert_str_eq(reply.content_type, "application/problem+json");
    tree = parse_reply(&reply);
    ck_assert_str_eq(text_of(tree, "type"), "/problems/changed_meanwhile");
    ck_assert_str_eq(text_of(tree, "title"), "Precondition Failed");
    ck_assert_str_eq(text_of(tree, "code"), "changed_meanwhile");
    ck_assert_str_eq(text_of(tree, "field"), "name");
    ck_assert_str_eq(text_of(tree, "detail"), "Changed by Dana.");
    ck_assert_int_eq(cJSON_GetObjectItemCaseSensitive(tree, "status")->valueint, 412);
    ck_assert_int_eq(
        cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(tree, "errors")), 1);
    cJSON_Delete(tree);
    reply_finish(&reply);
}
END_TEST

START_TEST(reply_problem_lists_all_faults_and_the_extra_members)
{
    struct reply reply = {0};
    struct problem problem;
    const cJSON *errors;
    cJSON *tree;

    problem_init(&problem);
    problem_add(&problem, "member_missing", "name", "name is missing.");
    problem_add(&problem, "wrong_type", "kind", "kind must be a text.");
    strcpy(problem.extra_json, "\"choices\":[{\"fold\":\"first\"}]");
    reply_problem(&reply, &problem);
    ck_assert_int_eq(reply.status, 422);
    tree = parse_reply(&reply);
    ck_assert_str_eq(text_of(tree, "code"), "member_missing");
    errors = cJSON_GetObjectItemCaseSensitive(tree, "errors");
    ck_assert_int_eq(cJSON_GetArraySize(errors), 2);
    ck_assert_str_eq(text_of(cJSON_GetArrayItem(errors, 1), "code"), "wrong_type");
    ck_assert_str_eq(text_of(cJSON_GetArrayItem(errors, 1), "field"), "kind");
    ck_assert(cJSON_IsArray(cJSON_GetObjectItemCaseSensitive(tree, "choices")));
    cJSON_Delete(tree);
    reply_finish(&reply);
}
END_TEST

START_TEST(problem_without_a_fault_is_a_bare_status)
{
    struct reply reply = {0};
    struct problem problem;
    cJSON *tree;

    problem_init(&problem);
    problem.status = 503;
    reply_problem(&reply, &problem);
    tree = parse_reply(&reply);
    ck_assert_str_eq(text_of(tree, "type"), "about:blank");
    ck_assert_str_eq(text_of(tree, "title"), "Service Unavailable");
    cJSON_Delete(tree);
    reply_finish(&reply);
}
END_TEST

START_TEST(problem_counts_faults_past_its_room)
{
    struct reply reply = {0};
    struct problem problem;
    cJSON *tree;

    problem_init(&problem);
    for (int i = 0; i < PROBLEM_FAULTS_MAX + 5; i++)
        problem_add(&problem, "wrong_type", "a", "number %d", i);
    ck_assert_uint_eq(problem.count, PROBLEM_FAULTS_MAX + 5);
    reply_problem(&reply, &problem);
    tree = parse_reply(&reply);
    ck_assert_int_eq(
        cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(tree, "errors")),
        PROBLEM_FAULTS_MAX);
    cJSON_Delete(tree);
    reply_finish(&reply);
}
END_TEST

START_TEST(problem_text_is_json_whatever_stands_in_a_fault)
{
    static const char *const odd[] = {
        "\"\\/", "a\nb\tc\x01", "\xc3\xa9\xf0\x9f\x98\x80", "\xff\xc0\xaf", "%s%n"};
    struct reply reply = {0};
    cJSON *tree;

    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        reply_refuse(&reply, 400, "text_invalid", odd[i], "%s", odd[i]);
        tree = parse_reply(&reply);
        if (i < 3)
            ck_assert_str_eq(text_of(tree, "detail"), odd[i]);
        cJSON_Delete(tree);
    }
    reply_finish(&reply);
}
END_TEST

START_TEST(problem_cuts_long_texts_between_characters)
{
    struct problem problem;
    char name[400];

    for (size_t i = 0; i + 2 < sizeof name; i += 2)
        memcpy(name + i, "\xc3\xa9", 2);
    name[398] = '\0';
    problem_init(&problem);
    problem_add(&problem, "member_unknown", name, "x%s", name);
    ck_assert(utf8_valid(problem.faults[0].field, strlen(problem.faults[0].field)));
    ck_assert(utf8_valid(problem.faults[0].detail, strlen(problem.faults[0].detail)));
    ck_assert_uint_ge(strlen(problem.faults[0].field), 60);
    ck_assert_uint_ge(strlen(problem.faults[0].detail), 196);
}
END_TEST

START_TEST(reply_problem_forgets_what_a_handler_set_before)
{
    struct reply reply = {.encoding = "gzip", .cache_control = "no-cache"};

    strcpy(reply.etag, "\"a\"");
    strcpy(reply.location, "/x");
    reply_json(&reply, 201, strdup("{}"));
    reply_refuse(&reply, 507, "disk_full", NULL, "Full.");
    ck_assert_str_eq(reply.etag, "");
    ck_assert_str_eq(reply.location, "");
    ck_assert_ptr_null(reply.encoding);
    ck_assert_ptr_null(reply.cache_control);
    reply_finish(&reply);
}
END_TEST

START_TEST(reply_json_without_memory_is_a_500)
{
    struct reply reply = {0};

    reply_json(&reply, 200, NULL);
    ck_assert_int_eq(reply.status, 500);
    cJSON_Delete(parse_reply(&reply));
    reply_finish(&reply);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("problem");

    tcase_add_test(tcase, reply_refuse_sends_one_fault);
    tcase_add_test(tcase, reply_problem_lists_all_faults_and_the_extra_members);
    tcase_add_test(tcase, problem_without_a_fault_is_a_bare_status);
    tcase_add_test(tcase, problem_counts_faults_past_its_room);
    tcase_add_test(tcase, problem_text_is_json_whatever_stands_in_a_fault);
    tcase_add_test(tcase, problem_cuts_long_texts_between_characters);
    tcase_add_test(tcase, reply_problem_forgets_what_a_handler_set_before);
    tcase_add_test(tcase, reply_json_without_memory_is_a_500);
    return suite_run("problem", tcase);
}
