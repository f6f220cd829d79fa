/*
 * The line in words: every code has one plain sentence.
 */
#include <check.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "server/line_words.h"

/* A capital, a full stop, no second sentence's worth of length, ASCII only. */
static void check_sentence(const char *text, const char *key)
{
    size_t length;

    ck_assert_ptr_nonnull(text);
    length = strlen(text);
    ck_assert_msg(length > 10 && length < 160, "%s: length %zu", key, length);
    ck_assert_msg(isupper((unsigned char)text[0]), "%s: %s", key, text);
    ck_assert_msg(text[length - 1] == '.', "%s: %s", key, text);
    for (size_t i = 0; i < length; i++)
        ck_assert_msg((unsigned char)text[i] < 128, "%s: %s", key, text);
}

START_TEST(every_fault_has_a_sentence_and_a_reason)
{
    for (int i = 0; i < COIL_LINE_FAULT_COUNT; i++) {
        enum coil_line_fault_code code = (enum coil_line_fault_code)i;

        check_sentence(line_fault_text(code), coil_line_fault_key(code));
        check_sentence(line_fault_why(code), coil_line_fault_key(code));
        for (int k = 0; k < i; k++)
            ck_assert_str_ne(line_fault_text(code),
                             line_fault_text((enum coil_line_fault_code)k));
    }
}
END_TEST

START_TEST(every_change_note_problem_and_assumption_has_a_sentence)
{
    for (int i = 0; i < COIL_CHANGE_COUNT; i++)
        check_sentence(line_change_text((enum coil_line_change)i),
                       coil_line_change_key((enum coil_line_change)i));
    for (int i = 0; i < COIL_LINE_NOTE_COUNT; i++)
        check_sentence(line_note_text((enum coil_line_note_code)i),
                       coil_line_note_key((enum coil_line_note_code)i));
    for (int i = 0; i < COIL_LINE_PROBLEM_COUNT; i++)
        check_sentence(line_problem_text((enum coil_line_problem_code)i),
                       coil_line_problem_key((enum coil_line_problem_code)i));
    for (int i = 0; i < COIL_ASSUME_COUNT; i++)
        check_sentence(line_assumption_text((enum coil_line_assumption)i),
                       coil_line_assumption_key((enum coil_line_assumption)i));
    for (int i = 0; line_caution_at(i) != NULL; i++)
        check_sentence(line_caution_at(i), "caution");
}
END_TEST

START_TEST(every_part_and_position_has_words)
{
    int count = 0;

    for (; coil_part_kind_at(count) != 0; count++)
        ck_assert_msg(line_part_words(coil_part_kind_at(count))[0] != '\0', "%s",
                      coil_part_kind_key(coil_part_kind_at(count)));
    ck_assert_int_eq(count, 26);
    for (int i = COIL_POSITION_NORMAL; i <= COIL_POSITION_CLEANING; i++)
        ck_assert(line_position_words((enum coil_position_kind)i)[0] != '\0');
}
END_TEST

START_TEST(foreign_codes_have_no_words)
{
    ck_assert_str_eq(line_fault_text((enum coil_line_fault_code) - 1), "");
    ck_assert_str_eq(line_fault_text(COIL_LINE_FAULT_COUNT), "");
    ck_assert_str_eq(line_fault_why(COIL_LINE_FAULT_COUNT), "");
    ck_assert_str_eq(line_change_text(COIL_CHANGE_COUNT), "");
    ck_assert_str_eq(line_note_text(COIL_LINE_NOTE_COUNT), "");
    ck_assert_str_eq(line_problem_text(COIL_LINE_PROBLEM_COUNT), "");
    ck_assert_str_eq(line_assumption_text(COIL_ASSUME_COUNT), "");
    ck_assert_str_eq(line_part_words((enum coil_part_kind)0), "");
    ck_assert_str_eq(line_part_words((enum coil_part_kind)99), "");
    ck_assert_str_eq(line_position_words((enum coil_position_kind)0), "");
    ck_assert_ptr_null(line_caution_at(-1));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("line_words");
    TCase *tcase = tcase_create("line_words");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, every_fault_has_a_sentence_and_a_reason);
    tcase_add_test(tcase, every_change_note_problem_and_assumption_has_a_sentence);
    tcase_add_test(tcase, every_part_and_position_has_words);
    tcase_add_test(tcase, foreign_codes_have_no_words);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
