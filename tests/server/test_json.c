/* The JSON door: what RFC 8259 and RFC 3629 do not allow is refused, the rest is taken.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/json.h"
#include "tests/support/suite.h"

#define TEXT(literal) literal, sizeof literal - 1

static const struct {
    const char *text;
    size_t length;
    enum json_fault fault;
} cases[] = {
    /* taken */
    {TEXT("{}"), JSON_OK},
    {TEXT(" [ ] "), JSON_OK},
    {TEXT("\t\r\n{\"a\" : [1 , -0 , 0.5, 1e3, 1E+3, 1e-3, -12.50e2]}\n"), JSON_OK},
    {TEXT("true"), JSON_OK},
    {TEXT("null"), JSON_OK},
    {TEXT("\"\""), JSON_OK},
    {TEXT("\"\\\"\\\\\\/\\b\\f\\n\\r\\t\\u00e9\\ud83d\\ude00\""), JSON_OK},
    {TEXT("\"\xc3\xa9\xe2\x82\xac\xf0\x9f\x98\x80\xf4\x8f\xbf\xbf\""), JSON_OK},
    {TEXT("[[[[[[[[1]]]]]]]]"), JSON_OK},
    {TEXT("{\"a\":1,\"A\":2}"), JSON_OK},
    {TEXT("{\"a\":{\"a\":{\"a\":1}}}"), JSON_OK},
    {TEXT("1.7976931348623157e308"), JSON_OK},
    {TEXT("1e-400"), JSON_OK}, /* underflows to 0, which is finite */
    /* refused */
    {TEXT(""), JSON_EMPTY},
    {TEXT("   "), JSON_EMPTY},
    {TEXT("{} x"), JSON_SYNTAX},
    {TEXT("{}{}"), JSON_SYNTAX},
    {TEXT("{\"a\":1,}"), JSON_SYNTAX},
    {TEXT("[1,]"), JSON_SYNTAX},
    {TEXT("[,1]"), JSON_SYNTAX},
    {TEXT("[1 2]"), JSON_SYNTAX},
    {TEXT("{\"a\" 1}"), JSON_SYNTAX},
    {TEXT("{a:1}"), JSON_SYNTAX},
    {TEXT("{1:1}"), JSON_SYNTAX},
    {TEXT("{\"a\":}"), JSON_SYNTAX},
    {TEXT("{\"a\""), JSON_SYNTAX},
    {TEXT("{\"a"), JSON_SYNTAX},
    {TEXT("["), JSON_SYNTAX},
    {TEXT("[}"), JSON_SYNTAX},
    {TEXT("'a'"), JSON_SYNTAX},
    {TEXT("007"), JSON_SYNTAX},
    {TEXT("-01"), JSON_SYNTAX},
    {TEXT("1."), JSON_SYNTAX},
    {TEXT(".5"), JSON_SYNTAX},
    {TEXT("+1"), JSON_SYNTAX},
    {TEXT("-"), JSON_SYNTAX},
    {TEXT("1e"), JSON_SYNTAX},
    {TEXT("1e+"), JSON_SYNTAX},
    {TEXT("0x10"), JSON_SYNTAX},
    {TEXT("7,4"), JSON_SYNTAX},
    {TEXT("7.4.1"), JSON_SYNTAX},
    {TEXT("NaN"), JSON_SYNTAX},
    {TEXT("nan"), JSON_SYNTAX},
    {TEXT("Infinity"), JSON_SYNTAX},
    {TEXT("-inf"), JSON_SYNTAX},
    {TEXT("True"), JSON_SYNTAX},
    {TEXT("nul"), JSON_SYNTAX},
    {TEXT("truex"), JSON_SYNTAX},
    {TEXT("/**/1"), JSON_SYNTAX},
    {TEXT("\v1"), JSON_SYNTAX},
    {TEXT("\"\\x41\""), JSON_SYNTAX},
    {TEXT("\"\\u12\""), JSON_SYNTAX},
    {TEXT("\"\\u12g4\""), JSON_SYNTAX},
    {TEXT("\"\\"), JSON_SYNTAX},
    {TEXT("\xef\xbb\xbf{}"), JSON_SYNTAX},
    {TEXT("\"\xff\""), JSON_NOT_UTF8},
    {TEXT("\"\xc0\xaf\""), JSON_NOT_UTF8},
    {TEXT("\"\xe0\x80\xaf\""), JSON_NOT_UTF8},
    {TEXT("\"\xed\xa0\x80\""), JSON_NOT_UTF8},
    {TEXT("\"\xf4\x90\x80\x80\""), JSON_NOT_UTF8},
    {TEXT("\"\xe2\x82\""), JSON_NOT_UTF8},
    {TEXT("\"\x80\""), JSON_NOT_UTF8},
    {TEXT("\"\\ud800\""), JSON_NOT_UTF8},
    {TEXT("\"\\ud800\\u0041\""), JSON_NOT_UTF8},
    {TEXT("\"\\ud800\\ud800\""), JSON_NOT_UTF8},
    {TEXT("\"\\udc00\""), JSON_NOT_UTF8},
    {TEXT("\"a\0b\""), JSON_CONTROL_BYTE},
    {TEXT("{}\0"), JSON_CONTROL_BYTE},
    {TEXT("\"a\nb\""), JSON_CONTROL_BYTE},
    {TEXT("\"a\tb\""), JSON_CONTROL_BYTE},
    {TEXT("\"a\x1f\""), JSON_CONTROL_BYTE},
    {TEXT("\"\\u0000\""), JSON_CONTROL_BYTE},
    {TEXT("{\"a\":1,\"a\":1}"), JSON_DUPLICATE_MEMBER},
    {TEXT("{\"a\":1,\"b\":2,\"\\u0061\":3}"), JSON_DUPLICATE_MEMBER},
    {TEXT("[{\"a\":{\"b\":1,\"b\":2}}]"), JSON_DUPLICATE_MEMBER},
    {TEXT("[[[[[[[[[1]]]]]]]]]"), JSON_TOO_DEEP},
    {TEXT("{\"a\":[{\"a\":[{\"a\":[{\"a\":[{}]}]}]}]}"), JSON_TOO_DEEP},
    {TEXT("1e999"), JSON_NUMBER_RANGE},
    {TEXT("-1e999"), JSON_NUMBER_RANGE},
    {TEXT("[1, 2e308]"), JSON_NUMBER_RANGE},
};

#define CASES ((int)(sizeof cases / sizeof cases[0]))

START_TEST(json_parse_gives_a_tree_or_the_fault)
{
    enum json_fault fault;
    /* exactly the length, so that a look beyond it is seen by the sanitizer */
    char *copy = malloc(cases[_i].length + 1);
    cJSON *tree;

    ck_assert_ptr_nonnull(copy);
    memcpy(copy, cases[_i].text, cases[_i].length);
    copy = realloc(copy, cases[_i].length ? cases[_i].length : 1);
    tree = json_parse(copy, cases[_i].length, &fault);
    ck_assert_msg(fault == cases[_i].fault, "%s gave %d", cases[_i].text, fault);
    ck_assert((tree != NULL) == (cases[_i].fault == JSON_OK));
    cJSON_Delete(tree);
    free(copy);
}
END_TEST

START_TEST(json_parse_is_not_slow_with_ten_thousand_members)
{
    size_t length = 1;
    char *text = malloc(200000);
    enum json_fault fault;
    cJSON *tree;

    ck_assert_ptr_nonnull(text);
    text[0] = '{';
    for (int i = 0; i < 10000; i++)
        length += (size_t)snprintf(text + length, 20, "%s\"%d\":1", i ? "," : "", i);
    text[length++] = '}';
    tree = json_parse(text, length, &fault);
    ck_assert_int_eq(fault, JSON_OK);
    cJSON_Delete(tree);
    free(text);
}
END_TEST

START_TEST(json_print_gives_the_text_and_takes_the_tree)
{
    enum json_fault fault;
    char *text = json_print_and_delete(
        json_parse(TEXT("{ \"at\" : 1764079500, \"value\": 7.4 }"), &fault));

    ck_assert_str_eq(text, "{\"at\":1764079500,\"value\":7.4}");
    free(text);
    ck_assert_ptr_null(json_print_and_delete(NULL));
}
END_TEST

START_TEST(json_fault_text_is_a_sentence_for_every_fault)
{
    for (int fault = JSON_OK; fault <= JSON_NO_MEMORY; fault++) {
        const char *text = json_fault_text((enum json_fault)fault);

        ck_assert_int_gt(strlen(text), 10);
        ck_assert_int_eq(text[strlen(text) - 1], '.');
    }
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("json");

    tcase_add_loop_test(tcase, json_parse_gives_a_tree_or_the_fault, 0, CASES);
    tcase_add_test(tcase, json_parse_is_not_slow_with_ten_thousand_members);
    tcase_add_test(tcase, json_print_gives_the_text_and_takes_the_tree);
    tcase_add_test(tcase, json_fault_text_is_a_sentence_for_every_fault);
    return suite_run("json", tcase);
}
