/* Forms: every member by name, type and range, all faults at once. */
#include <stdlib.h>
#include <string.h>

#include "server/form.h"
#include "tests/support/suite.h"

static struct form form;
static struct problem problem;

static void open_form(const char *text)
{
    struct request req = {.body = (const uint8_t *)text, .body_length = strlen(text)};

    problem_init(&problem);
    form_open(&form, &req, &problem);
}

static void assert_fault(size_t index, const char *code, const char *field)
{
    ck_assert_uint_gt(problem.count, index);
    ck_assert_str_eq(problem.faults[index].code, code);
    ck_assert_str_eq(problem.faults[index].field, field);
    ck_assert_int_gt(strlen(problem.faults[index].detail), 5);
}

START_TEST(form_reads_each_kind_of_member)
{
    static const char *const kinds[] = {"pool", "spa", NULL};
    int64_t id = 0, value_e6 = 0;
    bool flag = false;
    char text[16] = "";
    int kind = -1;

    open_form("{\"id\":7,\"value\":7.4,\"flag\":true,\"text\":\"  Da\\u00f1a \\n\","
              "\"kind\":\"spa\"}");
    ck_assert(form_integer(&form, "id", 1, 9, FORM_REQUIRED, &id));
    ck_assert(form_e6(&form, "value", 0, 14, FORM_REQUIRED, &value_e6));
    ck_assert(form_flag(&form, "flag", FORM_REQUIRED, &flag));
    ck_assert(form_text(&form, "text", FORM_REQUIRED, text, sizeof text));
    ck_assert(form_choice(&form, "kind", kinds, FORM_REQUIRED, &kind));
    form_close(&form);
    ck_assert_uint_eq(problem.count, 0);
    ck_assert_int_eq(id, 7);
    ck_assert_int_eq(value_e6, 7400000);
    ck_assert(flag);
    ck_assert_str_eq(text, "Da\xc3\xb1"
                           "a");
    ck_assert_int_eq(kind, 1);
}
END_TEST

START_TEST(form_leaves_outputs_alone_when_optional_members_are_absent_or_null)
{
    int64_t id = 41, value_e6 = 42;
    bool flag = true;
    char text[8] = "kept";

    open_form("{\"value\":null,\"text\":\"  \"}");
    ck_assert(!form_integer(&form, "id", 1, 9, FORM_OPTIONAL, &id));
    ck_assert(!form_e6(&form, "value", 0, 14, FORM_OPTIONAL, &value_e6));
    ck_assert(!form_flag(&form, "flag", FORM_OPTIONAL, &flag));
    ck_assert(!form_text(&form, "text", FORM_OPTIONAL, text, sizeof text));
    form_close(&form);
    ck_assert_uint_eq(problem.count, 0);
    ck_assert(id == 41 && value_e6 == 42 && flag);
    ck_assert_str_eq(text, "kept");
}
END_TEST

START_TEST(form_collects_all_faults)
{
    static const char *const kinds[] = {"pool", "spa", NULL};
    int64_t id = 41;
    bool flag = true;
    char text[4];
    int kind = -1;

    open_form("{\"id\":\"7\",\"flag\":1,\"text\":\"long\",\"kind\":\"Pool\",\"x\":1}");
    ck_assert(!form_integer(&form, "id", 1, 9, FORM_REQUIRED, &id));
    ck_assert(!form_flag(&form, "flag", FORM_OPTIONAL, &flag));
    ck_assert(!form_text(&form, "text", FORM_OPTIONAL, text, sizeof text));
    ck_assert(!form_choice(&form, "kind", kinds, FORM_REQUIRED, &kind));
    ck_assert(!form_integer(&form, "water", 1, 9, FORM_REQUIRED, &id));
    form_close(&form);
    ck_assert_uint_eq(problem.count, 6);
    ck_assert_int_eq(problem.status, 422);
    assert_fault(0, "wrong_type", "id");
    assert_fault(1, "wrong_type", "flag");
    assert_fault(2, "text_too_long", "text");
    assert_fault(3, "not_in_list", "kind");
    assert_fault(4, "member_missing", "water");
    assert_fault(5, "member_unknown", "x");
}
END_TEST

/* 2^53 + 1 has no double of its own: refused rather than rounded. */
static const struct {
    const char *text;
    int64_t low, high;
    const char *code; /* NULL: taken */
} integers[] = {
    {"{\"n\":1}", 1, 9, NULL},
    {"{\"n\":9}", 1, 9, NULL},
    {"{\"n\":1.0}", 1, 9, NULL},
    {"{\"n\":0}", 1, 9, "out_of_range"},
    {"{\"n\":10}", 1, 9, "out_of_range"},
    {"{\"n\":1.5}", 1, 9, "wrong_type"},
    {"{\"n\":true}", 1, 9, "wrong_type"},
    {"{\"n\":\"1\"}", 1, 9, "wrong_type"},
    {"{\"n\":[1]}", 1, 9, "wrong_type"},
    {"{\"n\":9007199254740992}", 1, INT64_MAX, NULL},
    {"{\"n\":9007199254740994}", 1, INT64_MAX, "out_of_range"},
    {"{\"n\":1e300}", 1, INT64_MAX, "out_of_range"},
    {"{\"n\":-1e300}", INT64_MIN, INT64_MAX, "out_of_range"},
};

START_TEST(form_integer_refuses_what_is_no_integer_in_range)
{
    int64_t value = -77;
    bool taken;

    open_form(integers[_i].text);
    taken = form_integer(&form, "n", integers[_i].low, integers[_i].high, FORM_REQUIRED,
                         &value);
    form_close(&form);
    ck_assert_msg(taken == (integers[_i].code == NULL), "%s", integers[_i].text);
    if (integers[_i].code != NULL) {
        assert_fault(0, integers[_i].code, "n");
        ck_assert_int_eq(value, -77);
    }
}
END_TEST

START_TEST(form_e6_rounds_to_the_nearest_millionth)
{
    int64_t value_e6 = 0;

    open_form("{\"a\":0.1,\"b\":-3.2000004,\"c\":-3.2000006,\"d\":14.000001}");
    ck_assert(form_e6(&form, "a", -10, 14, FORM_REQUIRED, &value_e6));
    ck_assert_int_eq(value_e6, 100000);
    ck_assert(form_e6(&form, "b", -10, 14, FORM_REQUIRED, &value_e6));
    ck_assert_int_eq(value_e6, -3200000);
    ck_assert(form_e6(&form, "c", -10, 14, FORM_REQUIRED, &value_e6));
    ck_assert_int_eq(value_e6, -3200001);
    ck_assert(!form_e6(&form, "d", -10, 14, FORM_REQUIRED, &value_e6));
    form_close(&form);
    ck_assert_uint_eq(problem.count, 1);
    assert_fault(0, "out_of_range", "d");
}
END_TEST

START_TEST(form_text_refuses_control_characters_but_line_feeds)
{
    char text[32];

    open_form("{\"a\":\"x\\u0007y\",\"b\":\"x\\u0085y\",\"c\":\"x\\u007fy\","
              "\"d\":\"x\\ny\",\"e\":\"x\\u00a0y\"}");
    ck_assert(!form_text(&form, "a", FORM_REQUIRED, text, sizeof text));
    ck_assert(!form_text(&form, "b", FORM_REQUIRED, text, sizeof text));
    ck_assert(!form_text(&form, "c", FORM_REQUIRED, text, sizeof text));
    ck_assert(form_text(&form, "d", FORM_REQUIRED, text, sizeof text));
    ck_assert(form_text(&form, "e", FORM_REQUIRED, text, sizeof text));
    form_close(&form);
    ck_assert_uint_eq(problem.count, 3);
    assert_fault(0, "text_invalid", "a");
}
END_TEST

START_TEST(form_text_takes_as_many_bytes_as_fit)
{
    char text[5] = "";

    open_form("{\"a\":\"1234\",\"b\":\"12345\"}");
    ck_assert(form_text(&form, "a", FORM_REQUIRED, text, sizeof text));
    ck_assert_str_eq(text, "1234");
    ck_assert(!form_text(&form, "b", FORM_REQUIRED, text, sizeof text));
    ck_assert_str_eq(text, "1234");
    form_close(&form);
    assert_fault(0, "text_too_long", "b");
}
END_TEST

START_TEST(form_nested_names_fields_by_their_path)
{
    struct form child;
    int64_t value_e6 = 0;

    open_form("{\"values\":{\"ph\":\"x\",\"odd\":1},\"other\":[]}");
    ck_assert(form_nested(&form, "values", FORM_REQUIRED, &child));
    ck_assert(!form_e6(&child, "ph", 0, 14, FORM_REQUIRED, &value_e6));
    form_close(&child);
    ck_assert(!form_nested(&form, "other", FORM_OPTIONAL, &child));
    ck_assert(!form_nested(&form, "absent", FORM_REQUIRED, &child));
    /* reading from an absent one gives nothing and no further fault */
    ck_assert(!form_e6(&child, "ph", 0, 14, FORM_REQUIRED, &value_e6));
    form_close(&child);
    form_close(&form);
    ck_assert_uint_eq(problem.count, 4);
    assert_fault(0, "wrong_type", "values.ph");
    assert_fault(1, "member_unknown", "values.odd");
    assert_fault(2, "wrong_type", "other");
    assert_fault(3, "member_missing", "absent");
}
END_TEST

START_TEST(form_open_refuses_what_is_no_object_once)
{
    static const char *const texts[] = {"", "[]", "7", "{", "{\"a\":1,\"a\":2}"};
    int64_t value;

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        open_form(texts[i]);
        ck_assert(!form_integer(&form, "a", 0, 9, FORM_REQUIRED, &value));
        form_close(&form);
        ck_assert_uint_eq(problem.count, 1);
        ck_assert_int_eq(problem.status, 400);
        assert_fault(0, "json_invalid", "");
    }
}
END_TEST

START_TEST(form_members_are_told_apart_by_case)
{
    int64_t value = 0;

    open_form("{\"PH\":1}");
    ck_assert(!form_integer(&form, "ph", 0, 9, FORM_REQUIRED, &value));
    form_close(&form);
    ck_assert_uint_eq(problem.count, 2);
    assert_fault(0, "member_missing", "ph");
    assert_fault(1, "member_unknown", "PH");
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("form");

    tcase_add_test(tcase, form_reads_each_kind_of_member);
    tcase_add_test(tcase,
                   form_leaves_outputs_alone_when_optional_members_are_absent_or_null);
    tcase_add_test(tcase, form_collects_all_faults);
    tcase_add_loop_test(tcase, form_integer_refuses_what_is_no_integer_in_range, 0,
                        (int)(sizeof integers / sizeof integers[0]));
    tcase_add_test(tcase, form_e6_rounds_to_the_nearest_millionth);
    tcase_add_test(tcase, form_text_refuses_control_characters_but_line_feeds);
    tcase_add_test(tcase, form_text_takes_as_many_bytes_as_fit);
    tcase_add_test(tcase, form_nested_names_fields_by_their_path);
    tcase_add_test(tcase, form_open_refuses_what_is_no_object_once);
    tcase_add_test(tcase, form_members_are_told_apart_by_case);
    return suite_run("form", tcase);
}
