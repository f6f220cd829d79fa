/* Guessing is slowed down: figures of NIST SP 800-63B-4 section 3.2.2 (at most 100
 * wrong ones in a row, waits that grow from 30 s to an hour). The expected counts are
 * sums of those waits, done by hand. */
#include <string.h>

#include "server/throttle.h"
#include "tests/support/suite.h"

#define HOUR_MS ((int64_t)3600 * 1000)

static struct throttle throttle;
static const uint8_t account[THROTTLE_KEY_BYTES] = {1};
static const uint8_t other[THROTTLE_KEY_BYTES] = {2};

/* Guesses every step_ms from start until end; gives how many were looked at. */
static int guess(const uint8_t *key, int64_t stored, int64_t start_ms, int64_t end_ms,
                 int64_t step_ms, int64_t *out_failures)
{
    int looked_at = 0, wait_s = 0;

    for (int64_t now = start_ms; now < end_ms; now += step_ms)
        if (throttle_begin(&throttle, key, stored, now, &wait_s) == THROTTLE_LET) {
            looked_at++;
            stored = *out_failures = throttle_end(&throttle, key, false, now);
        }
    return looked_at;
}

/* Five are free; then waits of 30, 60, 120, 240, 480, 960 s end at 30, 90, 210, 450,
 * 930 and 1890 s, and the next, of 1920 s, after the hour: 5 + 6. */
START_TEST(a_thousand_guesses_in_an_hour_are_eleven)
{
    int64_t failures = 0;

    throttle_start(&throttle, 0);
    ck_assert_int_eq(guess(account, 0, 0, HOUR_MS, 3600, &failures), 11);
    ck_assert_int_eq(failures, 11);
}
END_TEST

START_TEST(after_fifty_the_account_is_shut)
{
    int64_t failures = 0;
    int wait_s = 0;

    throttle_start(&throttle, 0);
    ck_assert_int_eq(guess(account, 0, 0, 80 * HOUR_MS, 30 * 1000, &failures), 50);
    ck_assert_int_eq(
        throttle_begin(&throttle, account, failures, 1000 * HOUR_MS, &wait_s),
        THROTTLE_SHUT);
}
END_TEST

/* What the database remembers waits anew from the start: 11 failures, an hour. */
START_TEST(a_restart_forgives_nothing)
{
    int wait_s = 0;

    throttle_start(&throttle, 5 * HOUR_MS);
    ck_assert_int_eq(
        throttle_begin(&throttle, account, 11, 5 * HOUR_MS + 1000, &wait_s),
        THROTTLE_WAIT);
    ck_assert_int_eq(wait_s, 1920 - 1);
    ck_assert_int_eq(
        throttle_begin(&throttle, account, 11, 5 * HOUR_MS + 1920 * 1000, &wait_s),
        THROTTLE_LET);
}
END_TEST

START_TEST(one_guess_at_a_time)
{
    int wait_s = 0;

    throttle_start(&throttle, 0);
    ck_assert_int_eq(throttle_begin(&throttle, account, 0, 1, &wait_s), THROTTLE_LET);
    ck_assert_int_eq(throttle_begin(&throttle, account, 0, 2, &wait_s), THROTTLE_BUSY);
    ck_assert_int_eq(throttle_begin(&throttle, other, 0, 2, &wait_s), THROTTLE_LET);
    throttle_end(&throttle, account, false, 3);
    ck_assert_int_eq(throttle_begin(&throttle, account, 1, 4, &wait_s), THROTTLE_LET);
}
END_TEST

START_TEST(a_right_one_forgives_the_wrong_ones)
{
    int64_t failures = 0;
    int wait_s = 0;

    throttle_start(&throttle, 0);
    ck_assert_int_eq(guess(account, 0, 0, 4, 1, &failures), 4);
    ck_assert_int_eq(throttle_begin(&throttle, account, 4, 10, &wait_s), THROTTLE_LET);
    ck_assert_int_eq(throttle_end(&throttle, account, true, 10), 0);
    failures = 0;
    ck_assert_int_eq(guess(account, 0, 20, 25, 1, &failures), 5);
}
END_TEST

/* Names that nobody has fill the table; an account that waited still waits. */
START_TEST(flooding_with_names_frees_nobody)
{
    int64_t failures = 0, now = 0;
    int wait_s = 0;

    throttle_start(&throttle, 0);
    guess(account, 0, 0, 5, 1, &failures);
    ck_assert_int_eq(failures, 5);
    now = 1000;
    for (int i = 0; i < 2 * THROTTLE_ENTRIES; i++) {
        uint8_t name[THROTTLE_KEY_BYTES] = {9};

        memcpy(name + 1, &i, sizeof i);
        guess(name, 0, now, now + 1, 1, &failures);
    }
    ck_assert_int_eq(throttle_begin(&throttle, account, 5, now + 1, &wait_s),
                     THROTTLE_WAIT);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("throttle");

    tcase_add_test(tcase, a_thousand_guesses_in_an_hour_are_eleven);
    tcase_add_test(tcase, after_fifty_the_account_is_shut);
    tcase_add_test(tcase, a_restart_forgives_nothing);
    tcase_add_test(tcase, one_guess_at_a_time);
    tcase_add_test(tcase, a_right_one_forgives_the_wrong_ones);
    tcase_add_test(tcase, flooding_with_names_frees_nobody);
    return suite_run("throttle", tcase);
}
