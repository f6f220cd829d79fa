/*
 * Names and texts of the results.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "lib/status.h"

static const enum coil_status all[] = {
#define X(name, number, text) name,
    COIL_STATUS_LIST(X)
#undef X
};

#define ALL_COUNT ((int)(sizeof all / sizeof all[0]))

START_TEST(status_zero_is_fine_negative_refuses_positive_warns)
{
    ck_assert_int_eq(COIL_OK, 0);
    ck_assert_int_lt(COIL_ERR_NOT_FINITE, 0);
    ck_assert_int_lt(COIL_ERR_DOMAIN, 0);
    ck_assert_int_lt(COIL_ERR_UNKNOWN, 0);
    ck_assert_int_lt(COIL_ERR_NO_SOLUTION, 0);
    ck_assert_int_gt(COIL_WARN_RANGE, 0);
}
END_TEST

START_TEST(status_name_is_the_word_of_the_tables)
{
    ck_assert_str_eq(coil_status_name(COIL_OK), "COIL_OK");
    ck_assert_str_eq(coil_status_name(COIL_ERR_DOMAIN), "COIL_ERR_DOMAIN");
    ck_assert_str_eq(coil_status_name(COIL_ERR_NOT_FINITE), "COIL_ERR_NOT_FINITE");
    ck_assert_str_eq(coil_status_name(COIL_ERR_UNKNOWN), "COIL_ERR_UNKNOWN");
    ck_assert_str_eq(coil_status_name(COIL_ERR_NO_SOLUTION), "COIL_ERR_NO_SOLUTION");
    ck_assert_str_eq(coil_status_name(COIL_WARN_RANGE), "COIL_WARN_RANGE");
}
END_TEST

START_TEST(status_texts_and_names_are_all_different)
{
    for (int i = 0; i < ALL_COUNT; i++) {
        ck_assert_uint_gt(strlen(coil_status_text(all[i])), 3);
        for (int j = 0; j < i; j++) {
            ck_assert_int_ne(all[i], all[j]);
            ck_assert_str_ne(coil_status_text(all[i]), coil_status_text(all[j]));
            ck_assert_str_ne(coil_status_name(all[i]), coil_status_name(all[j]));
        }
    }
}
END_TEST

START_TEST(status_of_a_foreign_number_still_has_name_and_text)
{
    ck_assert_str_eq(coil_status_name((enum coil_status)77), "COIL_STATUS_UNKNOWN");
    ck_assert_str_eq(coil_status_text((enum coil_status)77), "an unknown result");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("status");
    TCase *tcase = tcase_create("status");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, status_zero_is_fine_negative_refuses_positive_warns);
    tcase_add_test(tcase, status_name_is_the_word_of_the_tables);
    tcase_add_test(tcase, status_texts_and_names_are_all_different);
    tcase_add_test(tcase, status_of_a_foreign_number_still_has_name_and_text);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
