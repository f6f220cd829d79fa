/* Recurrence rules as text. The reading of good ones is compared with another program in
 * tests/http/recurrence.test.mjs; here are the refusals, by RFC 5545's grammar. */
#include <string.h>

#include "lib/recurrence_text.h"
#include "tests/support/suite.h"

static struct coil_rule start_2027(void)
{
    struct coil_rule rule = {.interval = 1};

    ck_assert_int_eq(coil_day_from_date((struct coil_date){2027, 4, 1}, &rule.start_day),
                     COIL_OK);
    return rule;
}

static const char *const refused[] = {
    "", "FREQ", "FREQ=", "FREQ=HOURLY", "freq=yearly", "FREQ=YEARLY;FREQ=YEARLY",
    "INTERVAL=2", "FREQ=YEARLY;INTERVAL=0", "FREQ=YEARLY;INTERVAL=-1",
    "FREQ=YEARLY;INTERVAL=99999999999", "FREQ=YEARLY;INTERVAL=2x",
    "FREQ=YEARLY;COUNT=0", "FREQ=YEARLY;COUNT=2;UNTIL=20300101",
    "FREQ=YEARLY;UNTIL=2030-01-01", "FREQ=YEARLY;UNTIL=20300230",
    "FREQ=YEARLY;UNTIL=20260101", "FREQ=YEARLY;BYMONTH=13", "FREQ=YEARLY;BYMONTH=0",
    "FREQ=YEARLY;BYMONTH=", "FREQ=YEARLY;BYMONTH=1,", "FREQ=YEARLY;BYMONTHDAY=32",
    "FREQ=YEARLY;BYMONTHDAY=0", "FREQ=WEEKLY;BYMONTHDAY=3", "FREQ=WEEKLY;BYDAY=1MO",
    "FREQ=MONTHLY;BYDAY=XX", "FREQ=MONTHLY;BYDAY=M", "FREQ=MONTHLY;BYDAY=0MO",
    "FREQ=YEARLY;BYSETPOS=1", "FREQ=YEARLY;WKST=XX", "FREQ=YEARLY;BYHOUR=3",
    "FREQ=YEARLY;RSCALE=GREGORIAN", "FREQ=YEARLY\r\nSUMMARY:x", " FREQ=YEARLY",
    "FREQ=MONTHLY;BYDAY=MO,MO,MO,MO,MO,MO,MO,MO,MO,MO,MO,MO,MO,MO,MO"};

START_TEST(a_text_that_is_no_rule_is_refused_and_changes_nothing)
{
    struct coil_rule rule = start_2027(), before = rule;

    ck_assert_int_eq(coil_rule_read(refused[_i], &rule), COIL_ERR_DOMAIN);
    ck_assert_int_eq(memcmp(&rule, &before, sizeof rule), 0);
}
END_TEST

START_TEST(parts_are_written_in_one_order_and_usual_values_left_out)
{
    struct coil_rule rule = start_2027();
    char text[COIL_RULE_TEXT_SIZE];

    ck_assert_int_eq(coil_rule_read("BYDAY=-1SU,2MO;BYMONTH=10,4;WKST=MO;INTERVAL=1;"
                                    "FREQ=YEARLY;UNTIL=20351231T235959Z",
                                    &rule),
                     COIL_OK);
    coil_rule_write(&rule, text, sizeof text);
    ck_assert_str_eq(text, "FREQ=YEARLY;UNTIL=20351231;BYMONTH=4,10;BYDAY=-1SU,2MO");
}
END_TEST

START_TEST(the_longest_rule_fits_and_a_short_room_is_not_overrun)
{
    struct coil_rule rule = {.freq = COIL_MONTHLY,
                             .interval = 1000,
                             .count = 99999999,
                             .months = 0x1ffe,
                             .month_days = 0xfffffffe,
                             .month_days_end = 0xfffffffe,
                             .by_day_count = COIL_BY_DAY_MAX,
                             .set_pos_count = COIL_SET_POS_MAX,
                             .week_start = COIL_SU};
    char text[COIL_RULE_TEXT_SIZE], small[8];

    for (int i = 0; i < COIL_BY_DAY_MAX; i++)
        rule.by_day[i] = (struct coil_by_day){COIL_SU, -5};
    for (int i = 0; i < COIL_SET_POS_MAX; i++)
        rule.set_pos[i] = -366;
    coil_rule_write(&rule, text, sizeof text);
    ck_assert_str_eq(text + strlen(text) - 8, ";WKST=SU");
    coil_rule_write(&rule, small, sizeof small);
    ck_assert_str_eq(small, "FREQ=MO");
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("all");

    tcase_add_loop_test(tcase, a_text_that_is_no_rule_is_refused_and_changes_nothing, 0,
                        (int)(sizeof refused / sizeof refused[0]));
    tcase_add_test(tcase, parts_are_written_in_one_order_and_usual_values_left_out);
    tcase_add_test(tcase, the_longest_rule_fits_and_a_short_room_is_not_overrun);
    return suite_run("recurrence_text", tcase);
}
