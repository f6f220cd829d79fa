/*
 * The end of every Check program: one suite of one group of tests.
 */
#ifndef COIL_SUITE_H
#define COIL_SUITE_H

#include <check.h>

/* Takes the tcase. Returns main's exit code. */
static inline int suite_run(const char *name, TCase *tcase)
{
    Suite *suite = suite_create(name);
    SRunner *runner;
    int failed;

    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? 0 : 1;
}

#endif
