/* The demo's generator alone: same seed, same facts; all possible; ends as promised. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "fixtures/demo/scenario.h"

#define DAY_S INT64_C(86400)
#define NOW_S INT64_C(1795600000) /* 2026-11-25 */

/* Checks among 200,000 values a run: Check reports even passed assertions to its parent
 * process, so only a failed one is handed to it. */
#define MUST(condition)                                                                \
    do {                                                                               \
        if (!(condition))                                                              \
            ck_abort_msg("%s", #condition);                                            \
    } while (0)

struct tally {
    uint64_t hash; /* FNV-1a over all that was handed out */
    int64_t next_id, last_recorded_at, first_at;
    int sites, waters, heaters, readings, by_hand, by_probe, doses, pumps, burners,
        states, warm_ups;
    int super_chlorinations, corrections, acid_readings, off_line;
    int64_t longest_gap_s, last_by_hand_s;
    struct db_reading newest_by_hand, corrected;
    int64_t last_dose_s, last_acid_s, last_run_end_s;
    int64_t meter_e6, burner_end_s, pump_start_s, pump_end_s;
    enum coil_heater_state heater;
    bool super_while_in_line;
    int stop_after; /* -1: never */
};

/* Mixes a number in; the eight bytes one after the other. */
static void mix(struct tally *tally, int64_t number)
{
    for (int i = 0; i < 8; i++)
        tally->hash = (tally->hash ^ ((uint64_t)number >> (8 * i) & 0xff)) *
                      UINT64_C(1099511628211);
}

/* Counts a call; false when it is the one to stop at. */
static bool go_on(struct tally *tally)
{
    return tally->stop_after < 0 || tally->stop_after-- > 0;
}

static void look_at_fact(struct tally *tally, struct db_fact *fact, const char *actor)
{
    MUST(fact->recorded_at >= tally->last_recorded_at);
    MUST(fact->recorded_at >= fact->at);
    MUST(fact->recorded_at <= NOW_S);
    MUST(fact->id == 0);
    tally->last_recorded_at = fact->recorded_at;
    if (tally->first_at == 0)
        tally->first_at = fact->at;
    fact->id = ++tally->next_id;
    for (; *actor != '\0'; actor++)
        mix(tally, *actor);
    mix(tally, fact->at);
    mix(tally, fact->recorded_at);
    mix(tally, fact->supersedes);
}

static bool on_site(void *context, struct db_site *site)
{
    struct tally *tally = context;

    tally->sites++;
    MUST(site->has_place);
    mix(tally, site->at);
    return go_on(tally);
}

static bool on_water(void *context, struct db_water *water)
{
    struct tally *tally = context;

    tally->waters++;
    mix(tally, water->volume_m3_e6);
    return go_on(tally);
}

static bool on_heater(void *context, struct db_heater *heater)
{
    struct tally *tally = context;

    tally->heaters++;
    MUST(heater->limits[COIL_LIMIT_PH_LOW].is_set);
    mix(tally, heater->input_w_e6);
    return go_on(tally);
}

static void look_at_values(struct tally *tally, const struct db_reading *reading)
{
    MUST(reading->value_count > 0);
    for (size_t i = 0; i < reading->value_count; i++) {
        const struct db_value *value = &reading->values[i];
        enum coil_range range =
            coil_quantity_range(value->quantity, (double)value->amount_e6 / 1e6);

        MUST(range != COIL_RANGE_IMPOSSIBLE);
        MUST(value->confirmed == (range == COIL_RANGE_DOUBTFUL));
        MUST(i == 0 || value->quantity > reading->values[i - 1].quantity);
        mix(tally, value->quantity);
        mix(tally, value->amount_e6);
        mix(tally, value->method);
    }
}

static bool on_reading(void *context, struct db_reading *reading, const char *actor)
{
    struct tally *tally = context;

    look_at_fact(tally, &reading->fact, actor);
    look_at_values(tally, reading);
    tally->readings++;
    if (reading->method == COIL_METHOD_PROBE) {
        MUST(strcmp(actor, SCENARIO_PROBE) == 0);
        tally->by_probe++;
        return go_on(tally);
    }
    tally->by_hand++;
    if (reading->values[0].amount_e6 <= 6700000)
        tally->acid_readings++;
    if (reading->fact.supersedes != 0) {
        tally->corrections++;
        MUST(reading->fact.supersedes == tally->corrected.fact.id);
        MUST(reading->fact.at == tally->corrected.fact.at);
        MUST(reading->fact.recorded_at - reading->fact.at < DAY_S);
        MUST(strlen(reading->fact.reason) > 0);
    } else if (tally->last_by_hand_s != 0 &&
               reading->fact.at - tally->last_by_hand_s > tally->longest_gap_s) {
        tally->longest_gap_s = reading->fact.at - tally->last_by_hand_s;
    }
    for (size_t i = 0; i < reading->value_count; i++)
        if (reading->values[i].quantity == COIL_CALCIUM_HARDNESS &&
            reading->values[i].confirmed)
            tally->corrected = *reading;
    tally->last_by_hand_s = reading->fact.at;
    tally->newest_by_hand = *reading;
    return go_on(tally);
}

static bool on_dose(void *context, struct db_dose *dose, const char *actor)
{
    struct tally *tally = context;

    look_at_fact(tally, &dose->fact, actor);
    tally->doses++;
    tally->last_dose_s = dose->fact.at;
    if (dose->product == COIL_HYDROCHLORIC_ACID)
        tally->last_acid_s = dose->fact.at;
    if (dose->super_chlorination) {
        tally->super_chlorinations++;
        tally->super_while_in_line = tally->heater == COIL_HEATER_IN_LINE;
    }
    MUST(dose->amount_e6 > 0);
    mix(tally, dose->product);
    mix(tally, dose->amount_e6);
    return go_on(tally);
}

static bool on_run(void *context, struct db_run *run, const char *actor)
{
    struct tally *tally = context;
    int64_t at = run->fact.at;

    look_at_fact(tally, &run->fact, actor);
    MUST(run->ended_at > at);
    MUST(run->fact.recorded_at == run->ended_at);
    if (run->machine == DB_PUMP) {
        MUST(at >= tally->pump_end_s); /* runs do not overlap */
        tally->pumps++;
        tally->pump_start_s = at;
        tally->pump_end_s = run->ended_at;
        /* A burner ran only while the pump did. */
        MUST(tally->burner_end_s <= run->ended_at);
    } else {
        tally->burners++;
        tally->burner_end_s = run->ended_at;
        MUST(tally->heater == COIL_HEATER_IN_LINE);
    }
    mix(tally, run->machine);
    mix(tally, run->ended_at);
    return go_on(tally);
}

static bool on_state(void *context, struct db_heater_state *state, const char *actor)
{
    struct tally *tally = context;

    look_at_fact(tally, &state->fact, actor);
    tally->states++;
    tally->heater = state->state;
    tally->off_line += state->state == COIL_HEATER_OFF_LINE_FLUSHED;
    mix(tally, state->state);
    return go_on(tally);
}

static bool on_warm_up(void *context, struct db_warm_up *warm_up, const char *actor)
{
    struct tally *tally = context;

    look_at_fact(tally, &warm_up->fact, actor);
    tally->warm_ups++;
    MUST(warm_up->ended_at == tally->burner_end_s); /* just after its run */
    MUST(warm_up->meter_start_e6 >= tally->meter_e6);
    MUST(warm_up->meter_end_e6 > warm_up->meter_start_e6);
    MUST(warm_up->end_temp_e6 > warm_up->start_temp_e6);
    tally->meter_e6 = warm_up->meter_end_e6;
    mix(tally, warm_up->meter_end_e6);
    mix(tally, warm_up->end_temp_e6);
    return go_on(tally);
}

static bool generate(uint64_t seed, int64_t until_s, int stop_after,
                     struct tally *tally)
{
    struct scenario_sink sink = {tally,   on_site, on_water, on_heater, on_reading,
                                 on_dose, on_run,  on_state, on_warm_up};

    *tally = (struct tally){.hash = UINT64_C(14695981039346656037),
                            .stop_after = stop_after};
    return scenario_generate(seed, until_s, &sink);
}

START_TEST(scenario_is_the_same_for_the_same_seed)
{
    struct tally *one = malloc(sizeof *one);
    struct tally *two = malloc(sizeof *two);
    struct tally *other = malloc(sizeof *other);

    ck_assert(generate(1, NOW_S, -1, one));
    ck_assert(generate(1, NOW_S, -1, two));
    ck_assert(generate(2, NOW_S, -1, other));
    ck_assert_uint_eq(one->hash, two->hash);
    ck_assert_uint_ne(one->hash, other->hash);
    free(one);
    free(two);
    free(other);
}
END_TEST

START_TEST(scenario_tells_its_whole_story)
{
    struct tally *tally = malloc(sizeof *tally);

    ck_assert(generate((uint64_t)_i, NOW_S, -1, tally));
    ck_assert_int_eq(tally->sites, 1);
    ck_assert_int_eq(tally->waters, 1);
    ck_assert_int_eq(tally->heaters, 1);
    /* Three years: a reading every few days, a pump run every day. */
    ck_assert_int_ge(tally->first_at, NOW_S - 3 * 366 * DAY_S);
    ck_assert_int_le(tally->first_at, NOW_S - 3 * 365 * DAY_S);
    ck_assert_int_ge(tally->by_hand, 250);
    ck_assert_int_le(tally->by_hand, 450);
    ck_assert_int_ge(tally->pumps, 3 * 365 - 1);
    ck_assert_int_ge(tally->burners, 50);
    ck_assert_int_ge(tally->warm_ups, 30);
    ck_assert_int_ge(tally->doses, 400);
    /* Five months of a reading every 10 minutes, with some missing. */
    ck_assert_int_ge(tally->by_probe, 152 * 144 * 9 / 10);
    ck_assert_int_lt(tally->by_probe, 153 * 144);
    ck_assert_int_eq(tally->super_chlorinations, 1);
    ck_assert(!tally->super_while_in_line);
    ck_assert_int_eq(tally->off_line, 1);
    ck_assert_int_eq(tally->states, 3);
    ck_assert_int_eq(tally->corrections, 1);
    ck_assert_int_ge(tally->acid_readings, 1);
    ck_assert_int_ge(tally->longest_gap_s, 30 * DAY_S); /* the forgotten month */
    free(tally);
}
END_TEST

/* Ends of the story in every season and at every hour of the day. */
START_TEST(scenario_ends_with_water_in_the_band)
{
    struct tally *tally = malloc(sizeof *tally);
    int64_t until_s = NOW_S - _i * (19 * DAY_S + 7 * 3600);
    const struct db_reading *newest = &tally->newest_by_hand;
    int64_t ph_e6, chlorine_e6;

    ck_assert(generate(1, until_s, -1, tally));
    ph_e6 = newest->values[0].amount_e6;
    chlorine_e6 = newest->values[1].amount_e6;
    ck_assert_int_eq(newest->values[0].quantity, COIL_PH);
    ck_assert_int_eq(newest->values[1].quantity, COIL_FREE_CHLORINE);
    ck_assert_int_ge(ph_e6, 7300000);
    ck_assert_int_le(ph_e6, 7800000);
    ck_assert_int_ge(chlorine_e6, 1000000);
    ck_assert_int_le(chlorine_e6, 4500000);
    ck_assert_int_ge(until_s - newest->fact.at, 2 * 3600);
    ck_assert_int_le(until_s - newest->fact.at, 12 * 3600);
    ck_assert_int_lt(tally->last_dose_s, newest->fact.at);
    ck_assert_int_lt(tally->last_acid_s, newest->fact.at - 2 * DAY_S);
    ck_assert_int_eq(tally->heater, COIL_HEATER_IN_LINE);
    free(tally);
}
END_TEST

START_TEST(scenario_stops_when_told)
{
    struct tally *tally = malloc(sizeof *tally);

    for (int after = 0; after < 60; after++) {
        ck_assert(!generate(1, NOW_S, after, tally));
        /* Not one call after the one that said stop. */
        ck_assert_int_eq(tally->stop_after, -1);
        ck_assert_int_eq(tally->sites + tally->waters + tally->heaters +
                             tally->readings + tally->doses + tally->pumps +
                             tally->burners + tally->states + tally->warm_ups,
                         after + 1);
    }
    free(tally);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("scenario");
    TCase *tests = tcase_create("scenario");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, scenario_is_the_same_for_the_same_seed);
    tcase_add_loop_test(tests, scenario_tells_its_whole_story, 1, 6);
    tcase_add_loop_test(tests, scenario_ends_with_water_in_the_band, 0, 40);
    tcase_add_test(tests, scenario_stops_when_told);
    suite_add_tcase(suite, tests);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? 0 : 1;
}
