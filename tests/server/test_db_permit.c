/* What the permit is told: which facts count, as of when, as known when. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store_support.h"

static struct store store;
static struct coil_permit_facts facts;

static void start(void)
{
    store_start(&store, true);
    memset(&facts, 0x5a, sizeof facts);
}

static void finish(void)
{
    store_finish(&store);
}

static void look(int64_t as_of, bool by_recorded)
{
    ck_assert_int_eq(db_permit_facts(store.db, store.heater_id, store.water_id, as_of,
                                     by_recorded, &facts),
                     DB_OK);
}

/* The newest value known then, in millionths; -1 for none. */
static int64_t newest(enum coil_quantity quantity, int64_t as_of, bool by_recorded)
{
    look(as_of, by_recorded);
    if (facts.history[quantity].count == 0)
        return -1;
    return (int64_t)(facts.history[quantity].newest[0].value * 1e6 + 0.5);
}

START_TEST(db_permit_facts_of_an_empty_store_are_nothing_known)
{
    facts.clock = COIL_CLOCK_JUMPED;
    facts.clock_jump_s = 321;
    look(500000, false);
    ck_assert_int_eq(facts.now_s, 500000);
    ck_assert_int_eq(facts.clock, COIL_CLOCK_JUMPED);
    ck_assert_int_eq(facts.clock_jump_s, 321);
    ck_assert_int_eq(facts.heater_state, COIL_HEATER_IN_LINE);
    ck_assert_int_eq(facts.heater_state_at_s, 0);
    ck_assert_uint_eq(facts.dose_count, 0);
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++)
        ck_assert_uint_eq(facts.history[i].count, 0);
}
END_TEST

START_TEST(db_permit_facts_need_a_heater_that_serves_the_water)
{
    struct db_water spa = {.at = 1, .actor_id = store.actor_id, .name = "Spa"};

    ck_assert_int_eq(db_water_add(store.db, &spa), DB_OK);
    ck_assert_int_eq(
        db_permit_facts(store.db, store.heater_id, spa.id, 5000, false, &facts),
        DB_NOT_FOUND);
    ck_assert_int_eq(db_permit_facts(store.db, 77, store.water_id, 5000, false, &facts),
                     DB_NOT_FOUND);
    ck_assert_int_eq(
        db_permit_facts(store.db, store.heater_id, 77, 5000, false, &facts),
        DB_NOT_FOUND);
}
END_TEST

START_TEST(db_permit_history_is_newest_first_and_full_at_most)
{
    for (int i = 0; i < 40; i++)
        store_add(&store, 100000 + i * 3000, COIL_PH, 7000000 + i * 10000);
    store_add(&store, 50000, COIL_CALCIUM_HARDNESS, 250000000);
    look(1000000, false);
    ck_assert_uint_eq(facts.history[COIL_PH].count, COIL_HISTORY_MAX);
    for (int i = 0; i < COIL_HISTORY_MAX; i++) {
        const struct coil_measure *measure = &facts.history[COIL_PH].newest[i];

        ck_assert_int_eq(measure->at_s, 100000 + (39 - i) * 3000);
        ck_assert_double_eq_tol(measure->value, 7.0 + (39 - i) * 0.01, 1e-9);
    }
    ck_assert_uint_eq(facts.history[COIL_CALCIUM_HARDNESS].count, 1);
    look(100000 + 3000, false);
    ck_assert_uint_eq(facts.history[COIL_PH].count, 2);
}
END_TEST

START_TEST(db_permit_measure_carries_how_it_was_found)
{
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000);
    const struct coil_measure *measure;

    reading.value_count = 2;
    reading.values[0].resolution_e6 = 20000;
    reading.values[1] = (struct db_value){.quantity = COIL_FREE_CHLORINE,
                                          .amount_e6 = 10000000,
                                          .method = COIL_METHOD_STRIP,
                                          .over_range = true,
                                          .diluted = true};
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    look(6000, false);
    measure = &facts.history[COIL_PH].newest[0];
    ck_assert_double_eq_tol(measure->resolution, 0.02, 1e-12);
    ck_assert_int_eq(measure->method, COIL_METHOD_DROP_COUNT);
    ck_assert(!measure->over_range && !measure->diluted);
    measure = &facts.history[COIL_FREE_CHLORINE].newest[0];
    ck_assert_double_eq_tol(
        measure->resolution,
        coil_method_resolution(COIL_METHOD_STRIP, COIL_FREE_CHLORINE), 1e-12);
    ck_assert_int_eq(measure->method, COIL_METHOD_STRIP);
    ck_assert(measure->over_range && measure->diluted);
}
END_TEST

START_TEST(db_permit_facts_after_as_of_do_not_count)
{
    store_add(&store, 5000, COIL_PH, 7400000);
    store_add(&store, 9000, COIL_PH, 6800000);
    ck_assert_int_eq(newest(COIL_PH, 4999, false), -1);
    ck_assert_int_eq(newest(COIL_PH, 5000, false), 7400000);
    ck_assert_int_eq(newest(COIL_PH, 8999, false), 7400000);
    ck_assert_int_eq(newest(COIL_PH, 9000, false), 6800000);
}
END_TEST

/* One reading at 5000, told at 5060; corrected at 8000, told at 8060; the correction
 * withdrawn, told at 9000. */
START_TEST(db_permit_facts_tell_today_from_what_was_known_then)
{
    int64_t id = store_add(&store, 5000, COIL_PH, 7400000);
    struct db_reading reading;

    ck_assert_int_eq(db_reading_get(store.db, id, &reading), DB_OK);
    reading.fact.supersedes = id;
    reading.fact.recorded_at = 8060;
    reading.values[0].amount_e6 = 6900000;
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    ck_assert_int_eq(newest(COIL_PH, 6000, false), 6900000); /* today's knowledge */
    ck_assert_int_eq(newest(COIL_PH, 5059, true), -1);
    ck_assert_int_eq(newest(COIL_PH, 5060, true), 7400000); /* as it was known */
    ck_assert_int_eq(newest(COIL_PH, 8059, true), 7400000);
    ck_assert_int_eq(newest(COIL_PH, 8060, true), 6900000);
    reading.fact.supersedes = reading.fact.id;
    reading.fact.withdrawn = true;
    reading.fact.recorded_at = 9000;
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    ck_assert_int_eq(newest(COIL_PH, 9999, false), -1);
    ck_assert_int_eq(newest(COIL_PH, 8999, true), 6900000);
    ck_assert_int_eq(newest(COIL_PH, 9000, true), -1);
    look(8999, true);
    ck_assert_uint_eq(facts.history[COIL_PH].count, 1);
}
END_TEST

/* ---- probes ---- */

static struct db_run add_run(enum db_machine machine, int64_t from, int64_t until)
{
    struct db_run run = {.fact = store_fact(&store, from),
                         .water_id = store.water_id,
                         .machine = machine,
                         .ended_at = until};

    run.fact.recorded_at = until + 60;
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    return run;
}

static void add_probe(int64_t at, int64_t amount_e6)
{
    struct db_reading reading = store_reading(&store, at, COIL_PH, amount_e6);

    reading.method = reading.values[0].method = COIL_METHOD_PROBE;
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
}

START_TEST(db_permit_counts_a_probe_only_while_the_pump_runs)
{
    struct db_run run;

    store_add(&store, 1000, COIL_PH, 7600000);
    add_probe(20000, 7000000);
    ck_assert_int_eq(newest(COIL_PH, 30000, false), 7600000); /* no run at all */
    add_run(DB_BURNER, 15000, 25000);
    ck_assert_int_eq(newest(COIL_PH, 30000, false), 7600000); /* a burner is no pump */
    add_run(DB_PUMP, 10000, 19999);
    add_run(DB_PUMP, 20001, 25000);
    ck_assert_int_eq(newest(COIL_PH, 30000, false), 7600000); /* just not then */
    run = add_run(DB_PUMP, 20000, 20001);
    ck_assert_int_eq(newest(COIL_PH, 30000, false), 7000000);
    run.fact.supersedes = run.fact.id;
    run.fact.withdrawn = true;
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    ck_assert_int_eq(newest(COIL_PH, 30000, false), 7600000);
}
END_TEST

START_TEST(db_permit_counts_a_probe_within_overlapping_runs)
{
    add_run(DB_PUMP, 1000, 90000); /* a long one hides a short one */
    add_run(DB_PUMP, 2000, 3000);
    add_run(DB_PUMP, 95000, 96000);
    add_probe(1000, 7100000);
    add_probe(50000, 7200000);
    add_probe(90000, 7300000);
    add_probe(93000, 7400000);
    look(100000, false);
    ck_assert_uint_eq(facts.history[COIL_PH].count, 3);
    ck_assert_int_eq(facts.history[COIL_PH].newest[0].at_s, 90000);
    ck_assert_int_eq(facts.history[COIL_PH].newest[1].at_s, 50000);
    ck_assert_int_eq(facts.history[COIL_PH].newest[2].at_s, 1000);
}
END_TEST

/* A value by hand in a set that a probe took counts by itself, and the other way. */
START_TEST(db_permit_judges_each_value_by_its_own_method)
{
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000);

    reading.method = COIL_METHOD_PROBE;
    reading.value_count = 2;
    reading.values[1] = (struct db_value){
        .quantity = COIL_ORP, .amount_e6 = 700000000, .method = COIL_METHOD_PROBE};
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    ck_assert_int_eq(newest(COIL_PH, 6000, false), 7400000);
    ck_assert_int_eq(newest(COIL_ORP, 6000, false), -1);
}
END_TEST

/* Many values that do not count must not hide the one that does. */
START_TEST(db_permit_finds_a_hand_value_behind_a_standing_pump)
{
    store_add(&store, 1000, COIL_PH, 7600000);
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    for (int i = 0; i < 5000; i++)
        add_probe(10000 + i * 600, 7000000);
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert_int_eq(newest(COIL_PH, 5000000, false), 7600000);
    ck_assert_uint_eq(facts.history[COIL_PH].count, 1);
}
END_TEST

/* ---- doses, states, things ---- */

static void add_dose(int64_t at, enum coil_product product, int64_t amount_e6,
                     int64_t strength_e6)
{
    struct db_dose dose = {.fact = store_fact(&store, at),
                           .water_id = store.water_id,
                           .product = product,
                           .amount_e6 = amount_e6,
                           .strength_e6 = strength_e6};

    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK);
}

/* 50 m3 of water. 1 L of 10 trade percent holds 100 g of available chlorine: 2 mg/L.
 * 100 g of 65 percent (the usual strength) hold 65 g: 1.3 mg/L. */
START_TEST(db_permit_doses_bring_their_chlorine)
{
    add_dose(1000, COIL_SODIUM_HYPOCHLORITE, 1000000000, 10000000);
    add_dose(2000, COIL_CALCIUM_HYPOCHLORITE, 100000000, 0);
    add_dose(3000, COIL_HYDROCHLORIC_ACID, 500000000, 31450000);
    add_dose(9000, COIL_TRICHLOR, 200000000, 0);
    look(5000, false);
    ck_assert_uint_eq(facts.dose_count, 3);
    ck_assert_int_eq(facts.doses[0].product, COIL_HYDROCHLORIC_ACID);
    ck_assert_int_eq(facts.doses[0].kind, COIL_KIND_ACID);
    ck_assert_int_eq(facts.doses[0].at_s, 3000);
    ck_assert(facts.doses[0].chlorine_rise_mg_per_l == 0.0);
    ck_assert_int_eq(facts.doses[1].kind, COIL_KIND_SANITISER);
    ck_assert_double_eq_tol(facts.doses[1].chlorine_rise_mg_per_l, 1.3, 1e-9);
    ck_assert_double_eq_tol(facts.doses[2].chlorine_rise_mg_per_l, 2.0, 1e-9);
}
END_TEST

START_TEST(db_permit_doses_without_a_volume_bring_no_figure)
{
    struct db_water water;

    ck_assert_int_eq(db_water_get(store.db, store.water_id, &water), DB_OK);
    water.volume_m3_e6 = 0;
    water.at = 1500;
    ck_assert_int_eq(db_water_put(store.db, &water), DB_OK);
    add_dose(1600, COIL_SODIUM_HYPOCHLORITE, 1000000000, 10000000);
    look(5000, false);
    ck_assert_uint_eq(facts.dose_count, 1);
    ck_assert(facts.doses[0].chlorine_rise_mg_per_l == 0.0);
}
END_TEST

START_TEST(db_permit_keeps_the_newest_doses)
{
    for (int i = 0; i < COIL_DOSES_MAX + 6; i++)
        add_dose(1000 + i, COIL_BORAX, 1000000, 0);
    look(5000, false);
    ck_assert_uint_eq(facts.dose_count, COIL_DOSES_MAX);
    ck_assert_int_eq(facts.doses[0].at_s, 1000 + COIL_DOSES_MAX + 5);
}
END_TEST

START_TEST(db_permit_takes_the_state_of_that_time)
{
    struct db_heater_state state = {.fact = store_fact(&store, 2000),
                                    .heater_id = store.heater_id,
                                    .state = COIL_HEATER_OFF_LINE_FLUSHED};

    ck_assert_int_eq(db_heater_state_add(store.db, &state), DB_OK);
    state.fact = store_fact(&store, 4000);
    state.state = COIL_HEATER_DRAINED;
    ck_assert_int_eq(db_heater_state_add(store.db, &state), DB_OK);
    look(1999, false);
    ck_assert_int_eq(facts.heater_state_at_s, 0);
    look(3999, false);
    ck_assert_int_eq(facts.heater_state, COIL_HEATER_OFF_LINE_FLUSHED);
    ck_assert_int_eq(facts.heater_state_at_s, 2000);
    look(4030, true); /* the second was told at 4060 */
    ck_assert_int_eq(facts.heater_state, COIL_HEATER_OFF_LINE_FLUSHED);
    look(4060, true);
    ck_assert_int_eq(facts.heater_state, COIL_HEATER_DRAINED);
}
END_TEST

START_TEST(db_permit_takes_water_and_limits_of_that_time)
{
    struct db_water water;
    struct db_heater heater;

    ck_assert_int_eq(db_water_get(store.db, store.water_id, &water), DB_OK);
    water.at = 3000;
    water.sanitiser = COIL_SANITISER_BROMINE;
    water.is_spa = water.winter_closed = water.no_cyanuric_acid = true;
    ck_assert_int_eq(db_water_put(store.db, &water), DB_OK);
    ck_assert_int_eq(db_heater_get(store.db, store.heater_id, &heater), DB_OK);
    heater.at = 4000;
    heater.bypass = COIL_BYPASS_NONE;
    heater.limits[COIL_LIMIT_FREE_CHLORINE_HIGH] =
        (struct coil_limit){true, 3.0, COIL_MANUAL};
    ck_assert_int_eq(db_heater_put(store.db, &heater), DB_OK);
    look(2999, false);
    ck_assert_int_eq(facts.sanitiser, COIL_CHLORINE);
    ck_assert(!facts.is_spa && !facts.winter_closed && !facts.no_cyanuric_acid);
    look(3999, false);
    ck_assert_int_eq(facts.sanitiser, COIL_SANITISER_BROMINE);
    ck_assert(facts.is_spa && facts.winter_closed && facts.no_cyanuric_acid);
    ck_assert_int_eq(facts.bypass, COIL_BYPASS_FULL);
    ck_assert(!facts.limits[COIL_LIMIT_FREE_CHLORINE_HIGH].is_set);
    look(4000, false);
    ck_assert_int_eq(facts.bypass, COIL_BYPASS_NONE);
    ck_assert(facts.limits[COIL_LIMIT_FREE_CHLORINE_HIGH].value == 3.0);
    ck_assert_int_eq(facts.limits[COIL_LIMIT_FREE_CHLORINE_HIGH].source, COIL_MANUAL);
    look(10, false); /* imported history from before the set-up */
    ck_assert_int_eq(facts.sanitiser, COIL_CHLORINE);
}
END_TEST

static void put_line(int64_t at, int64_t version, int water, int burner)
{
    char document[] = "{\"parts\":[]}";
    struct db_line line = {.heater_id = store.heater_id,
                           .version = version,
                           .at = at,
                           .actor_id = store.actor_id,
                           .document = document};

    line.stops[COIL_WATER_SIDE] = (struct coil_line_stops){water, water};
    line.stops[COIL_BURNER_SIDE] = (struct coil_line_stops){burner, burner};
    line.risks = (struct coil_line_stops){water + burner, 9};
    ck_assert_int_eq(db_line_put(store.db, &line), DB_OK);
    ck_assert_int_eq(line.version, version + 1);
}

START_TEST(db_permit_takes_the_line_of_that_time)
{
    int64_t next = 0;

    put_line(3000, 0, 2, 0);
    put_line(5000, 1, 0, 1);
    look(2999, false); /* not described yet: nothing is known against it */
    ck_assert_int_eq(facts.line_stops[COIL_WATER_SIDE].count, 0);
    ck_assert_int_eq(facts.line_stops[COIL_BURNER_SIDE].count, 0);
    ck_assert_int_eq(facts.line_risks.count, 0);
    look(3000, false);
    ck_assert_int_eq(facts.line_stops[COIL_WATER_SIDE].count, 2);
    ck_assert_int_eq(facts.line_stops[COIL_WATER_SIDE].first, 2);
    ck_assert_int_eq(facts.line_stops[COIL_BURNER_SIDE].count, 0);
    ck_assert_int_eq(facts.line_risks.count, 2);
    ck_assert_int_eq(facts.line_risks.first, 9);
    look(5000, true);
    ck_assert_int_eq(facts.line_risks.count, 1);
    ck_assert_int_eq(facts.line_stops[COIL_WATER_SIDE].count, 0);
    ck_assert_int_eq(facts.line_stops[COIL_BURNER_SIDE].count, 1);
    ck_assert_int_eq(db_permit_next_at(store.db, store.heater_id, store.water_id, 3000,
                                       &next),
                     DB_OK);
    ck_assert_int_eq(next, 5000);
}
END_TEST

static void check_lines(int64_t from, int64_t until, size_t max, const char *versions)
{
    struct db_line lines[4];
    char found[16] = "";
    size_t count = 9;

    ck_assert_int_eq(
        db_line_list(store.db, store.heater_id, from, until, lines, max, &count), DB_OK);
    ck_assert_uint_le(count, max);
    for (size_t i = 0; i < count; i++) {
        found[i] = (char)('0' + lines[i].version);
        ck_assert_str_eq(lines[i].document, "{\"parts\":[]}");
        free(lines[i].document);
    }
    ck_assert_str_eq(found, versions);
}

START_TEST(db_line_list_gives_what_was_in_force)
{
    put_line(1000, 0, 1, 0);
    put_line(2000, 1, 1, 0); /* mended within the second: never in force */
    put_line(2000, 2, 1, 0);
    put_line(5000, 3, 1, 0);
    check_lines(0, 1000, 4, "");
    check_lines(0, 1001, 4, "1");
    check_lines(1500, 4000, 4, "13");
    check_lines(2000, 2001, 4, "3");
    check_lines(0, 9000, 4, "134");
    check_lines(0, 9000, 2, "34");
    check_lines(6000, 9000, 4, "4");
}
END_TEST

START_TEST(db_line_put_refuses_a_version_that_is_not_the_newest)
{
    char document[] = "{\"parts\":[]}";
    struct db_line line;

    ck_assert_int_eq(db_line_get(store.db, store.heater_id, &line), DB_OK);
    ck_assert_int_eq(line.version, 0);
    ck_assert_ptr_null(line.document);
    put_line(3000, 0, 1, 0);
    line.at = 4000;
    line.actor_id = store.actor_id;
    line.document = document;
    ck_assert_int_eq(db_line_put(store.db, &line), DB_CONFLICT);
    ck_assert_int_eq(db_line_get(store.db, store.heater_id, &line), DB_OK);
    ck_assert_int_eq(line.version, 1);
    ck_assert_int_eq(line.at, 3000);
    ck_assert_str_eq(line.document, "{\"parts\":[]}");
    ck_assert_int_eq(line.stops[COIL_WATER_SIDE].count, 1);
    free(line.document);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("db_permit");
    TCase *permit = tcase_create("permit");

    tcase_add_checked_fixture(permit, start, finish);
    tcase_set_timeout(permit, 30);
    tcase_add_test(permit, db_permit_facts_of_an_empty_store_are_nothing_known);
    tcase_add_test(permit, db_permit_facts_need_a_heater_that_serves_the_water);
    tcase_add_test(permit, db_permit_history_is_newest_first_and_full_at_most);
    tcase_add_test(permit, db_permit_measure_carries_how_it_was_found);
    tcase_add_test(permit, db_permit_facts_after_as_of_do_not_count);
    tcase_add_test(permit, db_permit_facts_tell_today_from_what_was_known_then);
    tcase_add_test(permit, db_permit_counts_a_probe_only_while_the_pump_runs);
    tcase_add_test(permit, db_permit_counts_a_probe_within_overlapping_runs);
    tcase_add_test(permit, db_permit_judges_each_value_by_its_own_method);
    tcase_add_test(permit, db_permit_finds_a_hand_value_behind_a_standing_pump);
    tcase_add_test(permit, db_permit_doses_bring_their_chlorine);
    tcase_add_test(permit, db_permit_doses_without_a_volume_bring_no_figure);
    tcase_add_test(permit, db_permit_keeps_the_newest_doses);
    tcase_add_test(permit, db_permit_takes_the_state_of_that_time);
    tcase_add_test(permit, db_permit_takes_water_and_limits_of_that_time);
    tcase_add_test(permit, db_permit_takes_the_line_of_that_time);
    tcase_add_test(permit, db_line_list_gives_what_was_in_force);
    tcase_add_test(permit, db_line_put_refuses_a_version_that_is_not_the_newest);
    suite_add_tcase(suite, permit);
    return store_run_suite(suite);
}
