/*
 * The permit's sentences: what people read must say what the finding says.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "lib/line.h"
#include "server/permit_words.h"

START_TEST(factors_are_said_as_people_say_them)
{
    static const struct {
        double factor;
        const char *words;
    } cases[] = {
        {1.01, "above"},
        {1.34, "above"},
        {1.5, "one and a half times"},
        {1.9, "almost twice"},
        {2.0, "twice"},
        {2.3, "more than twice"},
        {2.8, "almost three times"},
        {3.0, "three times"},
        {3.4, "more than three times"},
        {9.96, "ten times"},
        {12.4, "more than twelve times"},
        {25.2, "about 25 times"},
        {1e9, "more than a million times"},
    };
    char words[48];

    permit_times(cases[_i].factor, words, sizeof words);
    ck_assert_str_eq(words, cases[_i].words);
}
END_TEST

static void begin(struct coil_permit_facts *facts, enum coil_bypass bypass)
{
    int name;

    memset(facts, 0, sizeof *facts);
    facts->now_s = 1764079500;
    facts->bypass = bypass;
    for (name = 0; name < COIL_LIMIT_COUNT; name++)
        facts->limits[name] = coil_limit_default(name);
}

static void put(struct coil_permit_facts *facts, enum coil_quantity quantity,
                double value, int64_t age_s)
{
    struct coil_history *history = &facts->history[quantity];

    history->newest[history->count++] =
        (struct coil_measure){.value = value,
                              .at_s = facts->now_s - age_s,
                              .resolution = 0.1,
                              .method = COIL_METHOD_LABORATORY};
}

static bool says(const char *const *steps, size_t count, const char *part)
{
    size_t i;

    for (i = 0; i < count; i++)
        if (strstr(steps[i], part) != NULL)
            return true;
    return false;
}

START_TEST(strong_chlorine_is_said_as_in_the_contract)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    char headline[PERMIT_TEXT_SIZE];

    begin(&facts, COIL_BYPASS_FULL);
    put(&facts, COIL_PH, 7.5, 3600);
    put(&facts, COIL_FREE_CHLORINE, 14.0, 1200);
    coil_permit_from_facts(&facts, &verdict);
    permit_headline(&verdict, &facts, false, headline, sizeof headline);
    ck_assert_str_eq(headline, "Chlorine is almost three times the heater's limit.");
}
END_TEST

START_TEST(without_a_bypass_nobody_is_told_to_open_one)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    const char *steps[PERMIT_STEPS_MAX];
    size_t count;

    begin(&facts, (enum coil_bypass)_i);
    put(&facts, COIL_PH, 6.9, 3600);
    put(&facts, COIL_FREE_CHLORINE, 3.0, 3600);
    coil_permit_from_facts(&facts, &verdict);
    count = permit_steps(&verdict, &facts, steps);
    ck_assert_uint_ge(count, 4);
    ck_assert(strstr(steps[0], "Turn the heater off") != NULL);
    ck_assert_int_eq(says(steps, count, "Open the bypass"), _i != COIL_BYPASS_NONE);
    ck_assert_int_eq(says(steps, count, "no bypass"), _i == COIL_BYPASS_NONE);
}
END_TEST

/* In strong chlorine pH cannot be tested, so it comes first only where it holds. */
START_TEST(ph_comes_first_only_where_it_holds)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    const char *steps[PERMIT_STEPS_MAX];
    size_t count;

    begin(&facts, COIL_BYPASS_FULL);
    put(&facts, COIL_PH, _i ? 6.9 : 7.5, 3600);
    put(&facts, COIL_FREE_CHLORINE, _i ? 3.0 : 14.0, 3600);
    coil_permit_from_facts(&facts, &verdict);
    count = permit_steps(&verdict, &facts, steps);
    ck_assert_int_eq(says(steps, count, "pH first"), _i);
    ck_assert(says(steps, count, "Bring the water back"));
}
END_TEST

START_TEST(water_that_leaves_scale_is_not_called_inside_the_band)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    char headline[PERMIT_TEXT_SIZE];

    begin(&facts, COIL_BYPASS_FULL);
    put(&facts, COIL_PH, _i ? 8.4 : 7.5, 3600);
    put(&facts, COIL_FREE_CHLORINE, 3.0, 3600);
    coil_permit_from_facts(&facts, &verdict);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    permit_headline(&verdict, &facts, false, headline, sizeof headline);
    ck_assert_int_eq(strstr(headline, "inside") == NULL, _i);
    ck_assert_int_eq(strstr(headline, "scale") != NULL, _i);
}
END_TEST

START_TEST(one_step_names_both_tests_that_are_due)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    const char *steps[PERMIT_STEPS_MAX];
    size_t count;

    begin(&facts, COIL_BYPASS_FULL);
    coil_permit_from_facts(&facts, &verdict);
    count = permit_steps(&verdict, &facts, steps);
    ck_assert_uint_eq(count, 1);
    ck_assert_str_eq(steps[0], "Test pH and the sanitiser.");
}
END_TEST

START_TEST(an_old_value_says_how_old)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    char headline[PERMIT_TEXT_SIZE];

    begin(&facts, COIL_BYPASS_FULL);
    put(&facts, COIL_PH, 7.5, 9 * 86400);
    put(&facts, COIL_FREE_CHLORINE, 3.0, 3600);
    coil_permit_from_facts(&facts, &verdict);
    permit_headline(&verdict, &facts, false, headline, sizeof headline);
    ck_assert_str_eq(headline, "The last pH is 9 days old; it counts for seven days.");
}
END_TEST

START_TEST(a_hot_spa_is_told_in_the_site_s_unit)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    char headline[PERMIT_TEXT_SIZE];

    begin(&facts, COIL_BYPASS_FULL);
    facts.is_spa = true;
    put(&facts, COIL_PH, 7.5, 3600);
    put(&facts, COIL_FREE_CHLORINE, 3.0, 3600);
    put(&facts, COIL_WATER_TEMP, 41.0, 60);
    coil_permit_from_facts(&facts, &verdict);
    permit_headline(&verdict, &facts, true, headline, sizeof headline);
    ck_assert_str_eq(headline, "The spa is at 105.8 °F; its limit is 104 °F.");
}
END_TEST

START_TEST(a_smell_of_gas_leaves_one_thing_to_do)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    const char *steps[PERMIT_STEPS_MAX];

    begin(&facts, COIL_BYPASS_FULL);
    facts.gas_smell_at_s = facts.now_s - 60;
    facts.soot_at_s = facts.now_s - 60;
    coil_permit_from_facts(&facts, &verdict);
    ck_assert_uint_eq(permit_steps(&verdict, &facts, steps), 1);
    ck_assert(strncmp(steps[0], "Leave first", 11) == 0);
    ck_assert_ptr_nonnull(strstr(steps[0], "from outside"));
    facts.gas_smell_at_s = 0;
    coil_permit_from_facts(&facts, &verdict);
    ck_assert_uint_gt(permit_steps(&verdict, &facts, steps), 0);
    ck_assert(says(steps, permit_steps(&verdict, &facts, steps), "technician"));
}
END_TEST

/* Every rule in the table, spoken by itself, has words; and none names a maker's text
 * with a hole in it. */
START_TEST(every_rule_has_words)
{
    struct coil_permit_facts facts;
    struct permit_words words;
    size_t i;

    begin(&facts, COIL_BYPASS_FULL);
    for (i = 0; coil_permit_rule_at(i) != NULL; i++) {
        struct coil_finding finding = {.rule = coil_permit_rule_at(i),
                                       .permit = COIL_TEST,
                                       .age_s = 8 * 86400,
                                       .factor = 2.0};

        permit_words(&finding, &facts, false, &words);
        ck_assert_uint_gt(strlen(words.text), 20);
        ck_assert(words.text[strlen(words.text) - 1] == '.');
        ck_assert_ptr_nonnull(words.next);
        ck_assert_msg(strstr(words.text, "(null)") == NULL, "%s", finding.rule);
    }
    ck_assert_uint_gt(i, 20);
}
END_TEST

/* Good water with a feeder before the heater: what to mend is the line. */
START_TEST(a_fault_of_the_line_is_told_with_its_change_and_not_as_bad_water)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    struct permit_words words;
    const char *steps[PERMIT_STEPS_MAX];
    size_t count;

    begin(&facts, COIL_BYPASS_FULL);
    put(&facts, COIL_PH, 7.5, 3600);
    put(&facts, COIL_FREE_CHLORINE, 2.0, 3600);
    facts.line_stops[COIL_WATER_SIDE].count = 1;
    facts.line_stops[COIL_WATER_SIDE].first = COIL_FAULT_CHLORINE_BEFORE_HEATER;
    coil_permit_from_facts(&facts, &verdict);
    permit_words(&verdict.findings[0], &facts, false, &words);
    ck_assert_msg(strstr(words.text, "before it passes the heater") != NULL, "%s",
                  words.text);
    ck_assert_msg(strstr(words.next, "after the heater") != NULL, "%s", words.next);
    count = permit_steps(&verdict, &facts, steps);
    ck_assert(says(steps, count, "after the heater"));
    ck_assert(!says(steps, count, "Bring the water back"));
    facts.line_stops[COIL_WATER_SIDE].count = 3;
    permit_words(&verdict.findings[0], &facts, false, &words);
    ck_assert_msg(strstr(words.text, "3 faults") != NULL, "%s", words.text);
    facts.line_stops[COIL_WATER_SIDE].count = 0;
    facts.line_risks = (struct coil_line_stops){1, COIL_FAULT_NO_CHECK_VALVE};
    coil_permit_from_facts(&facts, &verdict);
    permit_words(&verdict.findings[0], &facts, false, &words);
    ck_assert_msg(strstr(words.text, "no check valve") != NULL, "%s", words.text);
    facts.line_stops[COIL_WATER_SIDE].count = 3;
    coil_permit_from_facts(&facts, &verdict);
    facts.line_stops[COIL_WATER_SIDE].first = 9999; /* of a later version */
    permit_words(&verdict.findings[0], &facts, false, &words);
    ck_assert_msg(strstr(words.text, "line") != NULL, "%s", words.text);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("permit words");
    TCase *words = tcase_create("words");
    SRunner *runner;
    int failed;

    tcase_add_loop_test(words, factors_are_said_as_people_say_them, 0, 13);
    tcase_add_test(words, a_smell_of_gas_leaves_one_thing_to_do);
    tcase_add_test(words, strong_chlorine_is_said_as_in_the_contract);
    tcase_add_loop_test(words, without_a_bypass_nobody_is_told_to_open_one, 0,
                        COIL_BYPASS_COUNT);
    tcase_add_loop_test(words, ph_comes_first_only_where_it_holds, 0, 2);
    tcase_add_loop_test(words, water_that_leaves_scale_is_not_called_inside_the_band, 0,
                        2);
    tcase_add_test(words, one_step_names_both_tests_that_are_due);
    tcase_add_test(words, an_old_value_says_how_old);
    tcase_add_test(words, a_hot_spa_is_told_in_the_site_s_unit);
    tcase_add_test(words,
                   a_fault_of_the_line_is_told_with_its_change_and_not_as_bad_water);
    tcase_add_test(words, every_rule_has_words);
    suite_add_tcase(suite, words);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
