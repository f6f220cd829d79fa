/*
 * The permit: each rule alone, then every cell of the table of qualities.
 *
 * Sources: limits and validity are product rules; pH 7.2 and "one pH unit is a factor of
 * ten": common practice and the definition of pH; 5 mg/L: MIL-HDBK-1027/4A, upper end;
 * spa 40 °C: CPSC release 79-071; bleaching above 10 mg/L: common practice, no source.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/permit.h"

#define NOW 1764079500
#define HOUR 3600
#define DAY 86400

static void put(struct coil_permit_facts *facts, enum coil_quantity quantity,
                double value, int64_t age_s, enum coil_method method)
{
    struct coil_history *history = &facts->history[quantity];

    /* Newest first: tests add from new to old. */
    history->newest[history->count++] =
        (struct coil_measure){.value = value,
                              .at_s = NOW - age_s,
                              .resolution = coil_method_resolution(method, quantity),
                              .method = method};
}

static struct coil_measure *last(struct coil_permit_facts *facts,
                                 enum coil_quantity quantity)
{
    struct coil_history *history = &facts->history[quantity];

    return &history->newest[history->count - 1];
}

static void put_dose(struct coil_permit_facts *facts, enum coil_product product,
                     int64_t age_s, double rise)
{
    facts->doses[facts->dose_count++] = (struct coil_dose_mark){
        .at_s = NOW - age_s,
        .kind = coil_product_info(product)->kind,
        .product = product,
        .chlorine_rise_mg_per_l = rise};
}

/* A chlorine pool with a bypass about which nothing has been measured. */
static void begin(struct coil_permit_facts *facts)
{
    int name;

    memset(facts, 0, sizeof *facts);
    facts->now_s = NOW;
    facts->bypass = COIL_BYPASS_FULL;
    facts->heater_state_at_s = NOW - 30 * DAY;
    for (name = 0; name < COIL_LIMIT_COUNT; name++)
        facts->limits[name] = coil_limit_default(name);
}

static void begin_good(struct coil_permit_facts *facts)
{
    begin(facts);
    put(facts, COIL_PH, 7.5, HOUR, COIL_METHOD_PHOTOMETER);
    put(facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
}

static const struct coil_finding *find(const struct coil_verdict *verdict,
                                       const char *rule)
{
    size_t i;

    for (i = 0; i < verdict->finding_count; i++)
        if (strcmp(verdict->findings[i].rule, rule) == 0)
            return &verdict->findings[i];
    return NULL;
}

static struct coil_verdict judge(const struct coil_permit_facts *facts)
{
    struct coil_verdict verdict;

    coil_permit_from_facts(facts, &verdict);
    return verdict;
}

START_TEST(fresh_values_in_the_band_give_run_for_seven_days)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_int_eq(verdict.good_until_s, NOW - HOUR + 7 * DAY);
    facts.now_s = NOW - HOUR + 7 * DAY - 1;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    facts.now_s++;
    ck_assert_int_eq(judge(&facts).permit, COIL_TEST);
    ck_assert_ptr_nonnull(find((verdict = judge(&facts), &verdict), "ph_old"));
}
END_TEST

START_TEST(the_earlier_of_two_ends_is_good_until)
{
    struct coil_permit_facts facts;

    begin(&facts);
    put(&facts, COIL_PH, 7.5, 3 * DAY, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(judge(&facts).good_until_s, NOW + 4 * DAY);
}
END_TEST

START_TEST(nothing_measured_gives_test_with_both_missing)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_int_eq(verdict.good_until_s, 0);
    ck_assert_ptr_nonnull(find(&verdict, "ph_missing"));
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_missing"));
}
END_TEST

START_TEST(ph_one_unit_below_the_wall_is_ten_times_as_acidic)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    const struct coil_finding *finding;

    begin(&facts);
    put(&facts, COIL_PH, 6.2, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_LABORATORY);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    finding = find(&verdict, "ph_low");
    ck_assert_ptr_nonnull(finding);
    ck_assert_double_eq_tol(finding->factor, 10.0, 1e-9);
    ck_assert_double_eq_tol(finding->limit, 7.2, 1e-12);
    ck_assert_int_eq(finding->age_s, HOUR);
}
END_TEST

START_TEST(values_exactly_on_a_wall_pass_but_count_two_days_only)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 7.2, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 5.0, HOUR, COIL_METHOD_LABORATORY);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_int_eq(verdict.good_until_s, NOW - HOUR + 48 * HOUR);
    facts.now_s = verdict.good_until_s;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "ph_old_at_wall"));
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_old_at_wall"));
}
END_TEST

START_TEST(a_coarse_step_that_reaches_the_wall_shortens_validity)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    facts.history[COIL_PH].newest[0].value = 7.3;
    facts.history[COIL_PH].newest[0].resolution = 0.2;
    ck_assert_int_eq(judge(&facts).good_until_s, NOW - HOUR + 48 * HOUR);
    facts.history[COIL_PH].newest[0].value = 7.4;
    ck_assert_int_eq(judge(&facts).good_until_s, NOW - HOUR + 7 * DAY);
}
END_TEST

START_TEST(a_forecast_ends_validity_where_its_band_touches_a_wall)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.ph_touches_at_s = NOW + 3 * DAY;
    facts.sanitiser_touches_at_s = NOW + 9 * DAY;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_int_eq(verdict.good_until_s, NOW + 3 * DAY);
    facts.ph_touches_at_s = NOW + 10 * DAY; /* longer than the fixed seven days */
    ck_assert_int_eq(judge(&facts).good_until_s, NOW + 9 * DAY);
    facts.now_s = NOW + 9 * DAY - 1;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    facts.now_s++;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_may_have_left"));
    ck_assert_ptr_null(find(&verdict, "ph_may_have_left"));
}
END_TEST

START_TEST(a_forecast_never_counts_longer_than_fourteen_days)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    facts.ph_touches_at_s = facts.sanitiser_touches_at_s = NOW + 40 * DAY;
    ck_assert_int_eq(judge(&facts).good_until_s, NOW - HOUR + 14 * DAY);
    facts.sanitiser_touches_at_s = 0; /* cannot say: the fixed days */
    ck_assert_int_eq(judge(&facts).good_until_s, NOW - HOUR + 7 * DAY);
}
END_TEST

START_TEST(a_band_that_touches_at_once_counts_one_day)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.ph_touches_at_s = NOW - HOUR;
    ck_assert_int_eq(judge(&facts).good_until_s, NOW - HOUR + DAY);
    facts.now_s = NOW - HOUR + DAY;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "ph_may_have_left"));
}
END_TEST

/* Shorter than the two days of a value at its wall without a forecast, too. */
START_TEST(a_band_that_touches_later_never_ends_validity_earlier)
{
    struct coil_permit_facts facts;
    int64_t before = 0;

    begin_good(&facts);
    for (int64_t touch = NOW - 2 * DAY; touch < NOW + 20 * DAY; touch += HOUR / 4) {
        int64_t until;

        facts.ph_touches_at_s = touch;
        facts.sanitiser_touches_at_s = NOW + 20 * DAY;
        until = judge(&facts).good_until_s;
        ck_assert_int_ge(until, before);
        ck_assert_int_le(until, touch < NOW - HOUR + DAY ? NOW - HOUR + DAY : touch);
        before = until;
    }
    ck_assert_int_eq(before, NOW - HOUR + 14 * DAY);
}
END_TEST

START_TEST(a_forecast_neither_outlives_a_dose_nor_clears_a_hold)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.ph_touches_at_s = facts.sanitiser_touches_at_s = NOW + 9 * DAY;
    put_dose(&facts, COIL_HYDROCHLORIC_ACID, HOUR / 2, 0.0);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "ph_after_dose"));
    begin(&facts);
    put(&facts, COIL_PH, 6.9, 3 * DAY, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    facts.ph_touches_at_s = facts.sanitiser_touches_at_s = NOW + 9 * DAY;
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
}
END_TEST

START_TEST(a_running_plan_holds_the_water_side_whatever_the_values)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.plan_started_at_s = NOW - 3 * DAY;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_int_eq(verdict.water_side, COIL_HOLD);
    ck_assert_int_eq(verdict.good_until_s, 0);
    ck_assert_int_eq(find(&verdict, "plan_running")->age_s, 3 * DAY);
    facts.now_s = NOW + 900 * DAY; /* forgotten */
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
}
END_TEST

START_TEST(a_severe_exposure_holds_until_a_technician_says_it_may_run)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.severe_exposure_until_s = NOW - 300 * DAY; /* it does not end by itself */
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.water_side, COIL_RUN);
    ck_assert_int_eq(verdict.burner_side, COIL_HOLD);
    ck_assert(!find(&verdict, "exposure_severe")->is_caution);
    ck_assert_int_eq(find(&verdict, "exposure_severe")->age_s, 300 * DAY);
    facts.inspected_at_s = NOW - 301 * DAY; /* before it: says nothing about it */
    facts.inspection_may_run = true;
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
    facts.inspected_at_s = NOW - DAY;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    facts.inspection_may_run = false;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.burner_side, COIL_HOLD);
    ck_assert_ptr_nonnull(find(&verdict, "inspection_failed"));
}
END_TEST

/* 10^(7.2 - 6.8) = 2.51 times as acidic at 2 times the ceiling of 5: 5.02; at pH 7.0
 * 1.58 x 2 = 3.17 is below the bar of 4. */
START_TEST(acid_and_strong_at_once_is_severe_at_once)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 6.8, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 10.0, HOUR, COIL_METHOD_PHOTOMETER);
    verdict = judge(&facts);
    ck_assert_ptr_nonnull(find(&verdict, "exposure_severe"));
    facts.heater_state = COIL_HEATER_OFF_LINE_STANDING;
    verdict = judge(&facts);
    ck_assert_ptr_nonnull(find(&verdict, "exposure_severe"));
    facts.heater_state = COIL_HEATER_OFF_LINE_FLUSHED; /* it does not reach it */
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "exposure_severe"));
    facts.heater_state = COIL_HEATER_IN_LINE;
    last(&facts, COIL_PH)->value = 7.0;
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "exposure_severe"));
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
}
END_TEST

/* By definition: total chlorine is free and combined chlorine together. */
START_TEST(free_chlorine_above_total_chlorine_decides_nothing_but_a_hold)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    put(&facts, COIL_TOTAL_CHLORINE, 1.0, HOUR, COIL_METHOD_PHOTOMETER);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_doubted"));
    last(&facts, COIL_FREE_CHLORINE)->value = 6.0; /* above the ceiling: still a hold */
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
    last(&facts, COIL_FREE_CHLORINE)->value = 1.2; /* within what two tests differ */
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    last(&facts, COIL_FREE_CHLORINE)->value = 3.0;
    last(&facts, COIL_TOTAL_CHLORINE)->at_s += 60; /* another test */
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    last(&facts, COIL_TOTAL_CHLORINE)->at_s -= 60;
    last(&facts, COIL_TOTAL_CHLORINE)->over_range = true; /* at least 1 */
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    last(&facts, COIL_TOTAL_CHLORINE)->over_range = false;
    last(&facts, COIL_TOTAL_CHLORINE)->resolution = 2.0; /* pads of a strip */
    last(&facts, COIL_FREE_CHLORINE)->resolution = 2.0;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(a_hold_never_expires_but_a_newer_reading_clears_it)
{
    struct coil_permit_facts facts;

    begin(&facts);
    put(&facts, COIL_PH, 6.9, 300 * DAY, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
    begin(&facts);
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_PH, 6.9, 2 * HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(a_bad_value_of_which_only_the_day_is_known_counts_all_day)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_FREE_CHLORINE, 2.0, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_PH, 7.6, 2 * HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_PH, 6.9, 14 * HOUR, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    last(&facts, COIL_PH)->day_only = true;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert(find(&verdict, "ph_low")->day_only);
    last(&facts, COIL_PH)->at_s = NOW - HOUR - 25 * HOUR; /* a day with a doubled hour */
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
    last(&facts, COIL_PH)->at_s -= 1;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    last(&facts, COIL_PH)->at_s += 1;
    last(&facts, COIL_PH)->value = 7.3; /* a good one changes nothing */
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(a_zero_of_which_only_the_day_is_known_may_be_bleached_by_a_dose_of_its_day)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 0.0, 14 * HOUR, COIL_METHOD_STRIP);
    put_dose(&facts, COIL_SODIUM_HYPOCHLORITE, 8 * HOUR, 20.0);
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "sanitiser_doubted"));
    last(&facts, COIL_FREE_CHLORINE)->day_only = true;
    verdict = judge(&facts);
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_doubted"));
}
END_TEST

START_TEST(two_readings_of_one_instant_that_disagree_count_as_the_worse)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    put(&facts, COIL_PH, 7.0, HOUR, COIL_METHOD_STRIP);
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
}
END_TEST

START_TEST(both_bad_at_once_is_said_first)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 6.9, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 14.0, HOUR, COIL_METHOD_LABORATORY);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_str_eq(verdict.findings[0].rule, "low_ph_and_high_sanitiser");
    ck_assert_double_eq_tol(find(&verdict, "free_chlorine_high")->factor, 2.8, 1e-9);
    ck_assert_double_eq_tol(find(&verdict, "ph_low")->factor, 1.99526, 1e-5);
}
END_TEST

START_TEST(a_zero_soon_after_a_high_value_is_doubted_and_clears_nothing)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 0.0, HOUR, COIL_METHOD_DROP_COUNT);
    put(&facts, COIL_FREE_CHLORINE, 15.0, 20 * HOUR, COIL_METHOD_DROP_COUNT);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_doubted"));
    ck_assert_ptr_nonnull(find(&verdict, "free_chlorine_high"));
}
END_TEST

START_TEST(a_zero_soon_after_a_large_dose_gives_test)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 0.0, HOUR, COIL_METHOD_DROP_COUNT);
    put_dose(&facts, COIL_SODIUM_HYPOCHLORITE, 5 * HOUR, 12.0);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_doubted"));
    facts.doses[0].chlorine_rise_mg_per_l = 2.0; /* an ordinary dose bleaches nothing */
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "sanitiser_doubted"));
    ck_assert_int_eq(verdict.permit, COIL_RUN);
}
END_TEST

START_TEST(a_diluted_sample_or_a_probe_is_believed_at_zero)
{
    struct coil_permit_facts facts;

    begin(&facts);
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_LABORATORY);
    put(&facts, COIL_FREE_CHLORINE, 0.2, HOUR, COIL_METHOD_DROP_COUNT);
    last(&facts, COIL_FREE_CHLORINE)->diluted = true;
    put(&facts, COIL_FREE_CHLORINE, 15.0, 20 * HOUR, COIL_METHOD_DROP_COUNT);
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    facts.history[COIL_FREE_CHLORINE].newest[0].diluted = false;
    facts.history[COIL_FREE_CHLORINE].newest[0].method = COIL_METHOD_PROBE;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(indicator_ph_taken_in_strong_chlorine_is_doubted)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 7.6, 5 * HOUR, COIL_METHOD_COMPARATOR);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 11.0, 5 * HOUR, COIL_METHOD_PHOTOMETER);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "ph_doubted"));
    facts.history[COIL_PH].newest[0].method = COIL_METHOD_PROBE;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(a_bleached_zero_beside_it_does_not_make_the_ph_good)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    put(&facts, COIL_PH, 7.6, HOUR, COIL_METHOD_COMPARATOR);
    put(&facts, COIL_FREE_CHLORINE, 0.0, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 30.0, 5 * HOUR, COIL_METHOD_PHOTOMETER);
    verdict = judge(&facts);
    ck_assert_ptr_nonnull(find(&verdict, "ph_doubted"));
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
}
END_TEST

START_TEST(doubted_ph_does_not_clear_an_earlier_low_one)
{
    struct coil_permit_facts facts;

    begin(&facts);
    put(&facts, COIL_PH, 7.6, 2 * HOUR, COIL_METHOD_COMPARATOR);
    put(&facts, COIL_PH, 6.8, 30 * HOUR, COIL_METHOD_COMPARATOR);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 12.0, 3 * HOUR, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
}
END_TEST

START_TEST(a_dose_of_acid_or_sanitiser_ends_validity_of_both)
{
    static const enum coil_product products[] = {COIL_HYDROCHLORIC_ACID,
                                                 COIL_SODIUM_HYPOCHLORITE};
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    put_dose(&facts, products[_i], HOUR / 2, 0.0);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_TEST);
    ck_assert_ptr_nonnull(find(&verdict, "ph_after_dose"));
    ck_assert_ptr_nonnull(find(&verdict, "sanitiser_after_dose"));
}
END_TEST

START_TEST(a_dose_before_the_reading_or_of_salt_changes_nothing)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    put_dose(&facts, COIL_SODIUM_CHLORIDE, HOUR / 2, 0.0);
    put_dose(&facts, COIL_HYDROCHLORIC_ACID, 2 * HOUR, 0.0);
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(over_range_chlorine_holds_above_the_ceiling_and_tests_below)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    last(&facts, COIL_FREE_CHLORINE)->over_range = true;
    ck_assert_int_eq(judge(&facts).permit, COIL_TEST);
    last(&facts, COIL_FREE_CHLORINE)->value = 10.0;
    ck_assert_int_eq(judge(&facts).permit, COIL_HOLD);
}
END_TEST

START_TEST(off_line_and_drained_hold_the_burner_not_the_water)
{
    static const struct {
        enum coil_heater_state state;
        const char *rule;
    } cases[] = {{COIL_HEATER_OFF_LINE_FLUSHED, "heater_off_line"},
                 {COIL_HEATER_OFF_LINE_STANDING, "heater_off_line"},
                 {COIL_HEATER_DRAINED, "heater_drained"}};
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.heater_state = cases[_i].state;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_int_eq(verdict.water_side, COIL_RUN);
    ck_assert_int_eq(verdict.burner_side, COIL_HOLD);
    ck_assert_ptr_nonnull(find(&verdict, cases[_i].rule));
    ck_assert_int_eq(find(&verdict, "standing_water") != NULL, _i == 1);
}
END_TEST

START_TEST(winter_closed_holds_the_burner_and_asks_for_no_test)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin(&facts);
    facts.winter_closed = true;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_int_eq(verdict.water_side, COIL_RUN);
    ck_assert_uint_eq(verdict.finding_count, 1);
}
END_TEST

START_TEST(a_spa_over_forty_degrees_holds_the_burner_a_pool_does_not)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    put(&facts, COIL_WATER_TEMP, 40.5, HOUR, COIL_METHOD_PROBE);
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
    facts.is_spa = true;
    ck_assert_int_eq(judge(&facts).burner_side, COIL_HOLD);
    last(&facts, COIL_WATER_TEMP)->value = 40.0;
    ck_assert_int_eq(judge(&facts).permit, COIL_RUN);
}
END_TEST

START_TEST(each_sanitiser_needs_only_its_own_value)
{
    static const struct {
        enum coil_sanitiser sanitiser;
        bool has_chlorine, has_bromine;
        enum coil_permit expected;
    } cases[] = {
        {COIL_CHLORINE, true, false, COIL_RUN},
        {COIL_CHLORINE, false, true, COIL_TEST},
        {COIL_SALT_CHLORINE, true, false, COIL_RUN},
        {COIL_SALT_CHLORINE, false, false, COIL_TEST},
        {COIL_SANITISER_BROMINE, false, true, COIL_RUN},
        {COIL_SANITISER_BROMINE, true, false, COIL_TEST},
        {COIL_BIGUANIDE, false, false, COIL_RUN},
    };
    struct coil_permit_facts facts;

    begin(&facts);
    facts.sanitiser = cases[_i].sanitiser;
    put(&facts, COIL_PH, 7.5, HOUR, COIL_METHOD_PHOTOMETER);
    if (cases[_i].has_chlorine)
        put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    if (cases[_i].has_bromine)
        put(&facts, COIL_BROMINE, 4.0, HOUR, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(judge(&facts).permit, cases[_i].expected);
}
END_TEST

START_TEST(high_ph_is_a_caution_unless_the_manual_has_a_limit)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.history[COIL_PH].newest[0].value = 8.2;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert(find(&verdict, "ph_high")->is_caution);
    facts.limits[COIL_LIMIT_PH_HIGH] = (struct coil_limit){true, 7.8, COIL_MANUAL};
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_ptr_nonnull(find(&verdict, "ph_over_manual"));
    ck_assert_ptr_null(find(&verdict, "ph_high"));
}
END_TEST

START_TEST(cautions_never_change_the_headline)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    size_t i;

    begin_good(&facts);
    facts.history[COIL_PH].newest[0].value = 8.4;
    facts.history[COIL_FREE_CHLORINE].newest[0].value = 0.6;
    facts.clock = COIL_CLOCK_UNSYNCHRONISED;
    put(&facts, COIL_TOTAL_ALKALINITY, 40, HOUR, COIL_METHOD_DROP_COUNT);
    put(&facts, COIL_COMBINED_CHLORINE, 2, HOUR, COIL_METHOD_DROP_COUNT);
    put(&facts, COIL_COPPER, 0.6, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_CYANURIC_ACID, 150, HOUR, COIL_METHOD_COMPARATOR);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_uint_eq(verdict.finding_count, 7);
    for (i = 0; i < verdict.finding_count; i++)
        ck_assert(verdict.findings[i].is_caution);
}
END_TEST

static void put_water(struct coil_permit_facts *facts, double ph, double alkalinity,
                      double calcium)
{
    begin_good(facts);
    facts->history[COIL_PH].newest[0].value = ph;
    put(facts, COIL_TOTAL_ALKALINITY, alkalinity, HOUR, COIL_METHOD_DROP_COUNT);
    put(facts, COIL_CALCIUM_HARDNESS, calcium, 9 * DAY, COIL_METHOD_DROP_COUNT);
    put(facts, COIL_WATER_TEMP, 25, HOUR, COIL_METHOD_PROBE);
}

/* pH 7.5, alkalinity 80, calcium 250 at 25 degC: index +0.08 closed at 40 degC (row of
 * fixtures/tables/closed_water_by_temperature.csv). Four times the calcium and twice the
 * alkalinity add some 0.9. */
START_TEST(scale_at_the_hot_surface_is_a_caution_that_says_its_index)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    const struct coil_finding *finding;

    put_water(&facts, 7.5, 80, 250);
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "scale_at_hot_surface"));
    put_water(&facts, 7.5, 160, 1000);
    verdict = judge(&facts);
    finding = find(&verdict, "scale_at_hot_surface");
    ck_assert_ptr_nonnull(finding);
    ck_assert(finding->is_caution && finding->has_index);
    ck_assert_double_eq_tol(finding->index, 0.08 + 0.9, 0.15);
    /* the model's 0.1 at a film, and what the steps of the tests add */
    ck_assert(finding->index_half_width > 0.1 && finding->index_half_width < 0.4);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    facts.history[COIL_CALCIUM_HARDNESS].count = 0; /* not known: nothing is said */
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "scale_at_hot_surface"));
}
END_TEST

/* The same table: +0.08 at 40 and +0.26 at 60 degC. */
START_TEST(a_heater_whose_figures_are_known_is_judged_at_its_own_surface)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    double assumed;

    put_water(&facts, 7.5, 160, 1000);
    verdict = judge(&facts);
    assumed = find(&verdict, "scale_at_hot_surface")->index;
    facts.surface_rise_k = 35;
    verdict = judge(&facts);
    ck_assert_double_eq_tol(find(&verdict, "scale_at_hot_surface")->index - assumed,
                            0.26 - 0.08, 0.04);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
}
END_TEST

START_TEST(water_that_dissolves_cement_is_told_of_where_the_lining_has_any)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    put_water(&facts, 7.2, 60, 60);
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "lining_dissolves"));
    facts.lining_has_cement = true;
    verdict = judge(&facts);
    ck_assert_ptr_nonnull(find(&verdict, "lining_dissolves"));
    ck_assert(find(&verdict, "lining_dissolves")->is_caution);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    facts.now_s += 8 * DAY; /* the pH no longer counts */
    verdict = judge(&facts);
    ck_assert_ptr_null(find(&verdict, "lining_dissolves"));
}
END_TEST

START_TEST(monopersulfate_reads_as_combined_chlorine_and_is_not_warned_of)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    put(&facts, COIL_COMBINED_CHLORINE, 2, HOUR, COIL_METHOD_DROP_COUNT);
    put_dose(&facts, COIL_MONOPERSULFATE, 5 * HOUR, 0.0);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_ptr_null(find(&verdict, "combined_chlorine_high"));
}
END_TEST

/* Signs of alkalinity by stoichiometry: HSO5- and its HSO4- are acids, sulfite and
 * thiosulfate make acid with hypochlorite; boric and cyanuric acid are acids. */
START_TEST(what_may_turn_the_water_acid_ends_a_test)
{
    static const struct {
        enum coil_product product;
        enum coil_permit permit;
    } cases[] = {
        {COIL_MONOPERSULFATE, COIL_TEST},
        {COIL_BORIC_ACID, COIL_TEST},
        {COIL_CYANURIC_ACID_PRODUCT, COIL_TEST},
        {COIL_SODIUM_THIOSULFATE, COIL_TEST},
        {COIL_SODIUM_SULFITE, COIL_TEST},
        {COIL_OTHER_PRODUCT, COIL_TEST},
        {COIL_SODIUM_BICARBONATE, COIL_RUN},
        {COIL_SODIUM_CARBONATE, COIL_RUN},
        {COIL_BORAX, COIL_RUN},
        {COIL_CALCIUM_CHLORIDE, COIL_RUN},
        {COIL_SODIUM_CHLORIDE, COIL_RUN},
    };
    struct coil_permit_facts facts;
    size_t i;

    for (i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        begin_good(&facts);
        put_dose(&facts, cases[i].product, HOUR / 2, 0.0);
        ck_assert_msg(judge(&facts).permit == cases[i].permit, "product %d",
                      cases[i].product);
    }
}
END_TEST

START_TEST(a_moved_clock_gives_test_until_it_is_confirmed)
{
    static const enum coil_clock clocks[] = {COIL_CLOCK_JUMPED, COIL_CLOCK_BEHIND};
    struct coil_permit_facts facts;

    begin_good(&facts);
    facts.clock = clocks[_i];
    ck_assert_int_eq(judge(&facts).permit, COIL_TEST);
    ck_assert_int_eq(judge(&facts).good_until_s, 0);
}
END_TEST

START_TEST(facts_after_now_do_not_count)
{
    struct coil_permit_facts facts;

    begin_good(&facts);
    facts.now_s = NOW - 2 * HOUR;
    ck_assert_int_eq(judge(&facts).permit, COIL_TEST);
}
END_TEST

/* ---- the table of qualities ---- */

enum quality {
    MISSING,
    GOOD,
    OLD,
    OUTSIDE,
    OUTSIDE_OLD,
    AT_WALL,
    AT_WALL_OLD,
    DOUBTED,
    AFTER_DOSE,
    OVER_RANGE,
    NOT_A_NUMBER,
    FORECAST_HOLDS,  /* older than seven days, its band touches no wall yet */
    FORECAST_TOUCHED, /* a day old, and its band has touched one since */
    QUALITY_COUNT
};

static int64_t touches(enum quality quality)
{
    return quality == FORECAST_HOLDS      ? NOW + DAY
           : quality == FORECAST_TOUCHED ? NOW - HOUR
                                         : 0;
}

static void put_ph(struct coil_permit_facts *facts, enum quality quality)
{
    static const double values[QUALITY_COUNT] = {
        [GOOD] = 7.5,  [OLD] = 7.5,     [OUTSIDE] = 6.9,    [OUTSIDE_OLD] = 6.9,
        [AT_WALL] = 7.2, [AT_WALL_OLD] = 7.2, [DOUBTED] = 7.5, [AFTER_DOSE] = 7.5,
        [OVER_RANGE] = 7.4, [NOT_A_NUMBER] = NAN, [FORECAST_HOLDS] = 7.5,
        [FORECAST_TOUCHED] = 7.5};
    static const int64_t ages[QUALITY_COUNT] = {
        [GOOD] = HOUR, [OLD] = 8 * DAY, [OUTSIDE] = HOUR, [OUTSIDE_OLD] = 8 * DAY,
        [AT_WALL] = HOUR, [AT_WALL_OLD] = 49 * HOUR, [DOUBTED] = HOUR,
        [AFTER_DOSE] = HOUR, [OVER_RANGE] = HOUR, [NOT_A_NUMBER] = HOUR,
        [FORECAST_HOLDS] = 8 * DAY, [FORECAST_TOUCHED] = 25 * HOUR};

    if (quality == MISSING)
        return;
    put(facts, COIL_PH, values[quality], ages[quality],
        quality == DOUBTED ? COIL_METHOD_COMPARATOR : COIL_METHOD_LABORATORY);
    last(facts, COIL_PH)->over_range = quality == OVER_RANGE;
    facts->ph_touches_at_s = touches(quality);
    if (quality == AFTER_DOSE)
        put_dose(facts, COIL_HYDROCHLORIC_ACID, HOUR / 2, 0.0);
}

static void put_sanitiser(struct coil_permit_facts *facts, enum coil_quantity quantity,
                          enum quality quality)
{
    double wall = quantity == COIL_BROMINE ? 6.0 : 5.0;
    const double values[QUALITY_COUNT] = {
        [GOOD] = 3.0, [OLD] = 3.0, [OUTSIDE] = 9.0, [OUTSIDE_OLD] = 9.0,
        [AT_WALL] = wall, [AT_WALL_OLD] = wall, [DOUBTED] = 0.0, [AFTER_DOSE] = 3.0,
        [OVER_RANGE] = 3.0, [NOT_A_NUMBER] = NAN, [FORECAST_HOLDS] = 3.0,
        [FORECAST_TOUCHED] = 3.0};
    static const int64_t ages[QUALITY_COUNT] = {
        [GOOD] = HOUR, [OLD] = 8 * DAY, [OUTSIDE] = HOUR, [OUTSIDE_OLD] = 8 * DAY,
        [AT_WALL] = HOUR, [AT_WALL_OLD] = 49 * HOUR, [DOUBTED] = HOUR,
        [AFTER_DOSE] = HOUR, [OVER_RANGE] = HOUR, [NOT_A_NUMBER] = HOUR,
        [FORECAST_HOLDS] = 8 * DAY, [FORECAST_TOUCHED] = 25 * HOUR};

    if (quality == MISSING)
        return;
    put(facts, quantity, values[quality], ages[quality], COIL_METHOD_PHOTOMETER);
    last(facts, quantity)->over_range = quality == OVER_RANGE;
    facts->sanitiser_touches_at_s = touches(quality);
    if (quality == AFTER_DOSE)
        put_dose(facts, COIL_SODIUM_HYPOCHLORITE, HOUR / 2, 2.0);
    if (quality == DOUBTED) /* an older strong value, itself cleared by a good one */
        put_dose(facts, COIL_SODIUM_HYPOCHLORITE, 5 * HOUR, 20.0);
}

/* Strong chlorine at the time of a doubted pH, and nothing else wrong with it. */
static void upset_indicator(struct coil_permit_facts *facts,
                            enum coil_quantity quantity)
{
    put(facts, quantity, 12.0, 2 * HOUR, COIL_METHOD_PHOTOMETER);
}

static bool counts(enum quality quality)
{
    return quality == GOOD || quality == AT_WALL || quality == FORECAST_HOLDS;
}

static bool outside(enum quality quality)
{
    return quality == OUTSIDE || quality == OUTSIDE_OLD;
}

START_TEST(run_appears_in_exactly_the_right_cells)
{
    enum coil_sanitiser sanitiser = (enum coil_sanitiser)_i;
    enum coil_quantity quantity =
        sanitiser == COIL_SANITISER_BROMINE ? COIL_BROMINE : COIL_FREE_CHLORINE;
    bool is_needed = sanitiser != COIL_BIGUANIDE;
    int ph, chlorine, state, clock, winter, runs = 0, cells = 0;

    for (ph = 0; ph < QUALITY_COUNT; ph++)
    for (chlorine = 0; chlorine < QUALITY_COUNT; chlorine++)
    for (state = 0; state < COIL_HEATER_STATE_COUNT; state++)
    for (clock = 0; clock <= COIL_CLOCK_BEHIND; clock++)
    for (winter = 0; winter < 2; winter++) {
        struct coil_permit_facts facts;
        struct coil_verdict verdict;
        bool strong = ph == DOUBTED && (chlorine == MISSING || chlorine == GOOD ||
                                         chlorine == AT_WALL);
        /* a doubted chlorine comes with a dose five hours ago */
        bool dosed = chlorine == AFTER_DOSE || ph == AFTER_DOSE ||
                     (ph == FORECAST_HOLDS && chlorine == DOUBTED);
        bool hold, run;

        begin(&facts);
        facts.sanitiser = sanitiser;
        facts.heater_state = state;
        facts.clock = clock;
        facts.winter_closed = winter;
        put_ph(&facts, ph);
        put_sanitiser(&facts, quantity, chlorine);
        if (ph == DOUBTED) {
            /* the strong value must be the nearest before the pH reading */
            if (facts.history[quantity].count > 0)
                last(&facts, quantity)->at_s =
                    chlorine == GOOD || chlorine == AT_WALL
                        ? NOW - HOUR / 2
                        : last(&facts, quantity)->at_s;
            upset_indicator(&facts, quantity);
            if (!strong)
                continue; /* other mixtures have tests of their own */
        }
        verdict = judge(&facts);
        hold = outside(ph) || (is_needed && outside(chlorine)) ||
               (is_needed && ph == DOUBTED && chlorine == MISSING) ||
               state != COIL_HEATER_IN_LINE || winter;
        run = counts(ph) && (!is_needed || counts(chlorine)) && !dosed &&
              state == COIL_HEATER_IN_LINE && !winter &&
              (clock == COIL_CLOCK_GOOD || clock == COIL_CLOCK_UNSYNCHRONISED);
        ck_assert_msg(verdict.permit == (hold ? COIL_HOLD : run ? COIL_RUN : COIL_TEST),
                      "ph %d chlorine %d state %d clock %d winter %d: %s", ph, chlorine,
                      state, clock, winter, coil_permit_key(verdict.permit));
        ck_assert((verdict.good_until_s != 0) == run);
        runs += run;
        cells++;
    }
    ck_assert_int_gt(cells, 3000);
    /* three qualities of each that count, two clocks; without a sanitiser to test every
     * chlorine quality but the dosed one, and one mixture with a dose since */
    ck_assert_int_eq(runs,
                     is_needed ? 3 * 3 * 2 : 3 * (QUALITY_COUNT - 1) * 2 - 2);
}
END_TEST

/* Common practice: chlorine goes in after the heater; a burner fires only with flow. */
START_TEST(a_fault_of_the_line_holds_its_own_side_only)
{
    enum coil_side side = (enum coil_side)_i;
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    facts.line_stops[side].count = 1;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_int_eq(verdict.water_side, side == COIL_WATER_SIDE ? COIL_HOLD : COIL_RUN);
    ck_assert_int_eq(verdict.burner_side,
                     side == COIL_BURNER_SIDE ? COIL_HOLD : COIL_RUN);
    ck_assert_str_eq(verdict.findings[0].rule, side == COIL_WATER_SIDE
                                                   ? "line_fault_water"
                                                   : "line_fault_burner");
    ck_assert(!verdict.findings[0].is_caution);
    ck_assert_int_eq(verdict.good_until_s, 0);
}
END_TEST

START_TEST(a_risk_in_the_line_is_a_caution_and_never_changes_the_headline)
{
    struct coil_permit_facts facts;
    struct coil_verdict before, verdict;

    begin_good(&facts);
    before = judge(&facts);
    facts.line_risks.count = 2;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_int_eq(verdict.good_until_s, before.good_until_s);
    ck_assert_uint_eq(before.finding_count, 0);
    ck_assert_uint_eq(verdict.finding_count, 1);
    ck_assert_str_eq(verdict.findings[0].rule, "line_risk");
    ck_assert(verdict.findings[0].is_caution);
}
END_TEST

/* What stops the burner until a technician's test, in the order in which it speaks. */
START_TEST(what_was_seen_at_the_burner_holds_it_whatever_the_water)
{
    static const char *const rule[] = {"gas_smell", "flue_co_high", "flame_rollout",
                                       "soot_seen"};
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    int64_t *const at[] = {&facts.gas_smell_at_s, &facts.co_high_at_s,
                           &facts.rollout_at_s, &facts.soot_at_s};

    begin_good(&facts);
    *at[_i] = NOW - 400 * DAY; /* however long ago */
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_int_eq(verdict.burner_side, COIL_HOLD);
    ck_assert_int_eq(verdict.water_side, COIL_RUN);
    ck_assert_uint_eq(verdict.finding_count, 1);
    ck_assert_str_eq(verdict.findings[0].rule, rule[_i]);
    ck_assert_int_eq(verdict.findings[0].age_s, 400 * DAY);
    ck_assert_int_eq(verdict.good_until_s, 0);
    begin(&facts); /* acid water, and what speaks after it */
    put(&facts, COIL_PH, 6.0, HOUR, COIL_METHOD_PHOTOMETER);
    put(&facts, COIL_FREE_CHLORINE, 3.0, HOUR, COIL_METHOD_PHOTOMETER);
    for (int i = _i; i < 4; i++)
        *at[i] = NOW - HOUR;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.water_side, COIL_HOLD);
    ck_assert_str_eq(verdict.findings[0].rule, rule[_i]);
}
END_TEST

START_TEST(an_overdue_cleaning_is_a_caution)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;

    begin_good(&facts);
    facts.cleaning_overdue = true;
    facts.cleaning_overdue_days = 3;
    verdict = judge(&facts);
    ck_assert_int_eq(verdict.permit, COIL_RUN);
    ck_assert_int_eq(verdict.good_until_s, NOW - HOUR + 7 * DAY);
    ck_assert(find(&verdict, "cleaning_overdue")->is_caution);
}
END_TEST

START_TEST(every_rule_has_a_name_of_its_own_and_room_for_its_finding)
{
    size_t count = 0, i;

    while (coil_permit_rule_at(count) != NULL)
        count++;
    ck_assert_uint_gt(count, 20);
    ck_assert_uint_le(count, COIL_FINDINGS_MAX);
    for (i = 1; i < count; i++)
        ck_assert_str_ne(coil_permit_rule_at(i), coil_permit_rule_at(i - 1));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("permit");
    TCase *rules = tcase_create("rules"), *table = tcase_create("table");
    SRunner *runner;
    int failed;

    tcase_add_loop_test(rules, a_fault_of_the_line_holds_its_own_side_only, 0,
                        COIL_SIDE_COUNT);
    tcase_add_test(rules, fresh_values_in_the_band_give_run_for_seven_days);
    tcase_add_test(rules, the_earlier_of_two_ends_is_good_until);
    tcase_add_test(rules, nothing_measured_gives_test_with_both_missing);
    tcase_add_test(rules, ph_one_unit_below_the_wall_is_ten_times_as_acidic);
    tcase_add_test(rules, values_exactly_on_a_wall_pass_but_count_two_days_only);
    tcase_add_test(rules, a_coarse_step_that_reaches_the_wall_shortens_validity);
    tcase_add_test(rules, a_forecast_ends_validity_where_its_band_touches_a_wall);
    tcase_add_test(rules, a_forecast_never_counts_longer_than_fourteen_days);
    tcase_add_test(rules, a_band_that_touches_at_once_counts_one_day);
    tcase_add_test(rules, a_band_that_touches_later_never_ends_validity_earlier);
    tcase_add_test(rules, a_forecast_neither_outlives_a_dose_nor_clears_a_hold);
    tcase_add_test(rules, a_running_plan_holds_the_water_side_whatever_the_values);
    tcase_add_test(rules, a_severe_exposure_holds_until_a_technician_says_it_may_run);
    tcase_add_test(rules, acid_and_strong_at_once_is_severe_at_once);
    tcase_add_loop_test(rules,
                        what_was_seen_at_the_burner_holds_it_whatever_the_water, 0, 4);
    tcase_add_test(rules, an_overdue_cleaning_is_a_caution);
    tcase_add_test(rules,
                   free_chlorine_above_total_chlorine_decides_nothing_but_a_hold);
    tcase_add_test(rules, a_hold_never_expires_but_a_newer_reading_clears_it);
    tcase_add_test(rules, a_bad_value_of_which_only_the_day_is_known_counts_all_day);
    tcase_add_test(
        rules, a_zero_of_which_only_the_day_is_known_may_be_bleached_by_a_dose_of_its_day);
    tcase_add_test(rules, two_readings_of_one_instant_that_disagree_count_as_the_worse);
    tcase_add_test(rules, both_bad_at_once_is_said_first);
    tcase_add_test(rules, a_zero_soon_after_a_high_value_is_doubted_and_clears_nothing);
    tcase_add_test(rules, a_zero_soon_after_a_large_dose_gives_test);
    tcase_add_test(rules, a_diluted_sample_or_a_probe_is_believed_at_zero);
    tcase_add_test(rules, indicator_ph_taken_in_strong_chlorine_is_doubted);
    tcase_add_test(rules, a_bleached_zero_beside_it_does_not_make_the_ph_good);
    tcase_add_test(rules, doubted_ph_does_not_clear_an_earlier_low_one);
    tcase_add_loop_test(rules, a_dose_of_acid_or_sanitiser_ends_validity_of_both, 0, 2);
    tcase_add_test(rules, a_dose_before_the_reading_or_of_salt_changes_nothing);
    tcase_add_test(rules, over_range_chlorine_holds_above_the_ceiling_and_tests_below);
    tcase_add_loop_test(rules, off_line_and_drained_hold_the_burner_not_the_water, 0, 3);
    tcase_add_test(rules, winter_closed_holds_the_burner_and_asks_for_no_test);
    tcase_add_test(rules, a_spa_over_forty_degrees_holds_the_burner_a_pool_does_not);
    tcase_add_loop_test(rules, each_sanitiser_needs_only_its_own_value, 0, 7);
    tcase_add_test(rules, high_ph_is_a_caution_unless_the_manual_has_a_limit);
    tcase_add_test(rules, cautions_never_change_the_headline);
    tcase_add_test(rules, scale_at_the_hot_surface_is_a_caution_that_says_its_index);
    tcase_add_test(rules, a_heater_whose_figures_are_known_is_judged_at_its_own_surface);
    tcase_add_test(rules,
                   water_that_dissolves_cement_is_told_of_where_the_lining_has_any);
    tcase_add_test(rules, monopersulfate_reads_as_combined_chlorine_and_is_not_warned_of);
    tcase_add_test(rules, what_may_turn_the_water_acid_ends_a_test);
    tcase_add_loop_test(rules, a_moved_clock_gives_test_until_it_is_confirmed, 0, 2);
    tcase_add_test(rules, facts_after_now_do_not_count);
    tcase_add_test(rules,
                   a_risk_in_the_line_is_a_caution_and_never_changes_the_headline);
    tcase_add_test(rules, every_rule_has_a_name_of_its_own_and_room_for_its_finding);
    tcase_add_loop_test(table, run_appears_in_exactly_the_right_cells, 0,
                        COIL_SANITISER_COUNT);
    suite_add_tcase(suite, rules);
    suite_add_tcase(suite, table);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
