/* Facts and their chains, lists, versions, and the small tables beside them. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store_support.h"

static struct store store;

static void start(void)
{
    store_start(&store, true);
}

static void finish(void)
{
    store_finish(&store);
}

/* ---- round trips ---- */

START_TEST(db_reading_comes_back_as_it_was_added)
{
    struct db_reading in = {.fact = store_fact(&store, 5000),
                            .water_id = store.water_id,
                            .method = COIL_METHOD_DROP_COUNT,
                            .value_count = 3},
                      out;

    snprintf(in.fact.note, sizeof in.fact.note, "after rain, \"cloudy\" – trüb");
    in.values[0] = (struct db_value){.quantity = COIL_ORP,
                                     .amount_e6 = -15000000,
                                     .method = COIL_METHOD_PROBE,
                                     .resolution_e6 = 1000000};
    in.values[1] = (struct db_value){
        .quantity = COIL_PH, .amount_e6 = 7400000, .method = COIL_METHOD_DROP_COUNT};
    in.values[2] = (struct db_value){.quantity = COIL_FREE_CHLORINE,
                                     .amount_e6 = 20000000,
                                     .method = COIL_METHOD_PHOTOMETER,
                                     .over_range = true,
                                     .diluted = true,
                                     .confirmed = true};
    ck_assert_int_eq(db_reading_add(store.db, &in), DB_OK);
    ck_assert_int_gt(in.fact.id, 0);
    memset(&out, 0x55, sizeof out);
    ck_assert_int_eq(db_reading_get(store.db, in.fact.id, &out), DB_OK);
    ck_assert_int_eq(out.fact.at, 5000);
    ck_assert_int_eq(out.fact.recorded_at, 5060);
    ck_assert_str_eq(out.fact.actor, "Dana");
    ck_assert_str_eq(out.fact.note, in.fact.note);
    ck_assert_str_eq(out.fact.reason, "");
    ck_assert_int_eq(out.fact.superseded_by, 0);
    ck_assert_int_eq(out.fact.batch_id, 0);
    ck_assert_uint_eq(out.value_count, 3);
    ck_assert_int_eq(out.values[0].quantity, COIL_PH);
    ck_assert_int_eq(out.values[0].method, COIL_METHOD_DROP_COUNT);
    ck_assert_int_eq(out.values[0].resolution_e6, 0);
    ck_assert(!out.values[0].over_range && !out.values[0].diluted);
    ck_assert_int_eq(out.values[1].quantity, COIL_FREE_CHLORINE);
    ck_assert_int_eq(out.values[1].method, COIL_METHOD_PHOTOMETER);
    ck_assert(out.values[1].over_range && out.values[1].diluted);
    ck_assert(out.values[1].confirmed);
    ck_assert_int_eq(out.values[2].quantity, COIL_ORP);
    ck_assert_int_eq(out.values[2].amount_e6, -15000000);
    ck_assert_int_eq(out.values[2].method, COIL_METHOD_PROBE);
    ck_assert_int_eq(out.values[2].resolution_e6, 1000000);
}
END_TEST

/* The longest details there can be: every value special in every way. */
START_TEST(db_reading_holds_all_quantities_with_all_details)
{
    struct db_reading in = {.fact = store_fact(&store, 5000),
                            .water_id = store.water_id,
                            .value_count = COIL_QUANTITY_COUNT},
                      out;

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        double low = coil_quantity_info((enum coil_quantity)i)->possible_low;

        in.values[i] = (struct db_value){.quantity = (enum coil_quantity)i,
                                         .amount_e6 = (int64_t)low * 1000000 + i,
                                         .resolution_e6 = 999999999999999999 - i,
                                         .method = COIL_METHOD_LABORATORY,
                                         .over_range = true,
                                         .diluted = i % 2 == 0,
                                         .confirmed = i % 3 == 0};
    }
    ck_assert_int_eq(db_reading_add(store.db, &in), DB_OK);
    ck_assert_int_eq(db_reading_get(store.db, in.fact.id, &out), DB_OK);
    ck_assert_uint_eq(out.value_count, COIL_QUANTITY_COUNT);
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        ck_assert_int_eq(out.values[i].quantity, i);
        ck_assert_int_eq(out.values[i].amount_e6, in.values[i].amount_e6);
        ck_assert_int_eq(out.values[i].resolution_e6, 999999999999999999 - i);
        ck_assert_int_eq(out.values[i].method, COIL_METHOD_LABORATORY);
        ck_assert(out.values[i].over_range);
        ck_assert_int_eq(out.values[i].diluted, i % 2 == 0);
        ck_assert_int_eq(out.values[i].confirmed, i % 3 == 0);
    }
}
END_TEST

START_TEST(db_dose_run_and_state_come_back_as_they_were_added)
{
    struct db_dose dose = {.fact = store_fact(&store, 5000),
                           .water_id = store.water_id,
                           .product = COIL_SODIUM_HYPOCHLORITE,
                           .amount_e6 = 1500000000,
                           .strength_e6 = 12500000,
                           .entry = DB_ENTRY_AFTER_HEATER,
                           .super_chlorination = true};
    struct db_run run = {.fact = store_fact(&store, 6000),
                         .water_id = store.water_id,
                         .heater_id = store.heater_id,
                         .machine = DB_BURNER,
                         .origin = DB_INSTRUMENT,
                         .ended_at = 9000};
    struct db_heater_state state = {.fact = store_fact(&store, 7000),
                                    .heater_id = store.heater_id,
                                    .state = COIL_HEATER_OFF_LINE_STANDING,
                                    .bypass_percent_open = 40};

    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK);
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    ck_assert_int_eq(db_heater_state_add(store.db, &state), DB_OK);
    {
        struct db_dose got;

        ck_assert_int_eq(db_dose_get(store.db, dose.fact.id, &got), DB_OK);
        ck_assert_int_eq(got.product, COIL_SODIUM_HYPOCHLORITE);
        ck_assert_int_eq(got.amount_e6, 1500000000);
        ck_assert_int_eq(got.strength_e6, 12500000);
        ck_assert_int_eq(got.entry, DB_ENTRY_AFTER_HEATER);
        ck_assert(got.super_chlorination);
    }
    {
        struct db_run got;

        ck_assert_int_eq(db_run_get(store.db, run.fact.id, &got), DB_OK);
        ck_assert_int_eq(got.heater_id, store.heater_id);
        ck_assert_int_eq(got.machine, DB_BURNER);
        ck_assert_int_eq(got.origin, DB_INSTRUMENT);
        ck_assert_int_eq(got.ended_at, 9000);
    }
    {
        struct db_heater_state got;

        ck_assert_int_eq(db_heater_state_get(store.db, state.fact.id, &got), DB_OK);
        ck_assert_int_eq(got.state, COIL_HEATER_OFF_LINE_STANDING);
        ck_assert_int_eq(got.bypass_percent_open, 40);
        ck_assert_int_eq(got.fact.at, 7000);
    }
}
END_TEST

/* ---- chains ---- */

static struct db_reading get(int64_t id)
{
    struct db_reading reading;

    ck_assert_int_eq(db_reading_get(store.db, id, &reading), DB_OK);
    return reading;
}

static size_t list(bool with_history, struct db_reading *out, int limit)
{
    struct db_window window = {.subject_id = store.water_id,
                               .until = 1000000,
                               .limit = limit,
                               .with_history = with_history};
    size_t count = 0;

    ck_assert_int_eq(db_reading_list(store.db, &window, out, &count), DB_OK);
    return count;
}

START_TEST(db_correction_supersedes_and_keeps_the_old_one)
{
    struct db_reading readings[4];
    int64_t old = store_add(&store, 5000, COIL_PH, 7400000);
    int64_t new = store_correct(&store, old, 5100, 7800000);

    ck_assert_int_eq(get(old).fact.superseded_by, new);
    ck_assert_int_eq(get(old).values[0].amount_e6, 7400000);
    ck_assert_int_eq(get(new).fact.supersedes, old);
    ck_assert_uint_eq(list(false, readings, 4), 1);
    ck_assert_int_eq(readings[0].fact.id, new);
    ck_assert_uint_eq(list(true, readings, 4), 2);
}
END_TEST

START_TEST(db_second_correction_of_one_fact_is_a_conflict)
{
    int64_t old = store_add(&store, 5000, COIL_PH, 7400000);
    struct db_reading second = get(old);
    uint64_t before;

    store_correct(&store, old, 5000, 7800000);
    before = store_digest(store.db, "");
    second.fact.supersedes = old;
    ck_assert_int_eq(db_reading_add(store.db, &second), DB_CONFLICT);
    second.fact.withdrawn = true;
    ck_assert_int_eq(db_reading_add(store.db, &second), DB_CONFLICT);
    second.fact.supersedes = 4711;
    ck_assert_int_eq(db_reading_add(store.db, &second), DB_NOT_FOUND);
    ck_assert(store_digest(store.db, "") == before);
}
END_TEST

START_TEST(db_withdrawal_takes_over_what_it_withdraws)
{
    struct db_reading readings[4];
    int64_t old = store_add(&store, 5000, COIL_PH, 7400000);
    int64_t withdrawal = store_withdraw(&store, old);
    struct db_reading got = get(withdrawal);

    ck_assert(got.fact.withdrawn);
    ck_assert_int_eq(got.fact.at, 5000);
    ck_assert_int_eq(got.fact.recorded_at, 65); /* its own */
    ck_assert_int_eq(got.water_id, store.water_id);
    ck_assert_int_eq(got.values[0].amount_e6, 7400000);
    ck_assert_uint_eq(list(false, readings, 4), 0);
    ck_assert_uint_eq(list(true, readings, 4), 2);
}
END_TEST

START_TEST(db_withdrawal_of_nothing_is_refused)
{
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000);

    reading.fact.withdrawn = true;
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_FAILED);
}
END_TEST

/* Undo of an undo of an undo: each is one more fact, the last word counts. */
START_TEST(db_chain_of_undoing_keeps_every_link)
{
    struct db_reading readings[12];
    int64_t id = store_add(&store, 5000, COIL_PH, 7000000);

    for (int i = 1; i <= 5; i++) {
        int64_t withdrawal = store_withdraw(&store, id);

        ck_assert_uint_eq(list(false, readings, 12), 0);
        id = store_correct(&store, withdrawal, 5000, 7000000 + i * 100000);
        ck_assert_uint_eq(list(false, readings, 12), 1);
        ck_assert_int_eq(readings[0].values[0].amount_e6, 7000000 + i * 100000);
    }
    ck_assert_uint_eq(list(true, readings, 12), 11);
    for (int i = 1; i < 11; i++) /* newest first, one instant: by id */
        ck_assert_int_eq(readings[i - 1].fact.supersedes, readings[i].fact.id);
}
END_TEST

START_TEST(db_withdrawn_dose_run_and_state_leave_their_lists)
{
    struct db_dose dose = {.fact = store_fact(&store, 5000),
                           .water_id = store.water_id,
                           .product = COIL_TRICHLOR,
                           .amount_e6 = 200000000};
    struct db_run run = {
        .fact = store_fact(&store, 5000), .water_id = store.water_id, .ended_at = 9000};
    struct db_heater_state state = {.fact = store_fact(&store, 5000),
                                    .heater_id = store.heater_id};
    struct db_window window = {.subject_id = 1, .until = 10000, .limit = 1};
    size_t count = 9;

    ck_assert_int_eq(store.water_id, 1);
    ck_assert_int_eq(store.heater_id, 1);
    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK);
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    ck_assert_int_eq(db_heater_state_add(store.db, &state), DB_OK);
    dose.fact.supersedes = dose.fact.id;
    run.fact.supersedes = run.fact.id;
    state.fact.supersedes = state.fact.id;
    dose.fact.withdrawn = run.fact.withdrawn = state.fact.withdrawn = true;
    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK);
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    ck_assert_int_eq(db_heater_state_add(store.db, &state), DB_OK);
    ck_assert_int_eq(db_dose_list(store.db, &window, &dose, &count), DB_OK);
    ck_assert_uint_eq(count, 0);
    ck_assert_int_eq(db_run_list(store.db, &window, &run, &count), DB_OK);
    ck_assert_uint_eq(count, 0);
    ck_assert_int_eq(db_heater_state_list(store.db, &window, &state, &count), DB_OK);
    ck_assert_uint_eq(count, 0);
}
END_TEST

/* ---- lists ---- */

START_TEST(db_list_pages_give_each_fact_once_newest_first)
{
    struct db_window window = {
        .subject_id = store.water_id, .until = 1000000, .limit = 7};
    struct db_reading page[7];
    int64_t last_at = INT64_MAX, last_id = INT64_MAX;
    size_t count = 7, seen = 0;

    for (int i = 0; i < 50; i++) /* five at each instant */
        store_add(&store, 1000 + i % 10, COIL_PH, 7000000 + i * 1000);
    while (count == 7) {
        ck_assert_int_eq(db_reading_list(store.db, &window, page, &count), DB_OK);
        for (size_t i = 0; i < count; i++) {
            ck_assert(page[i].fact.at < last_at ||
                      (page[i].fact.at == last_at && page[i].fact.id < last_id));
            last_at = page[i].fact.at;
            last_id = page[i].fact.id;
        }
        seen += count;
        window.before_at = last_at;
        window.before_id = last_id;
    }
    ck_assert_uint_eq(seen, 50);
}
END_TEST

START_TEST(db_list_keeps_to_its_window)
{
    struct db_window window = {
        .subject_id = store.water_id, .from = 2000, .until = 4000, .limit = 9};
    struct db_reading readings[9];
    size_t count = 0;

    for (int i = 1; i <= 5; i++)
        store_add(&store, i * 1000, COIL_PH, 7400000);
    ck_assert_int_eq(db_reading_list(store.db, &window, readings, &count), DB_OK);
    ck_assert_uint_eq(count, 3);
    ck_assert_int_eq(readings[0].fact.at, 4000);
    ck_assert_int_eq(readings[2].fact.at, 2000);
    window.before_at = 5000; /* later than the window's end */
    window.before_id = 99;
    ck_assert_int_eq(db_reading_list(store.db, &window, readings, &count), DB_OK);
    ck_assert_uint_eq(count, 3);
    window.subject_id = 77;
    ck_assert_int_eq(db_reading_list(store.db, &window, readings, &count), DB_OK);
    ck_assert_uint_eq(count, 0);
    window.subject_id = store.water_id;
    window.limit = -1;
    ck_assert_int_eq(db_reading_list(store.db, &window, readings, &count), DB_OK);
    ck_assert_uint_eq(count, 0);
}
END_TEST

static bool exists(const struct db_reading *reading)
{
    bool is_there = false;

    ck_assert_int_eq(db_reading_exists(store.db, reading, &is_there), DB_OK);
    return is_there;
}

START_TEST(db_reading_exists_compares_instant_method_and_values)
{
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000), other;
    int64_t id;

    ck_assert(!exists(&reading));
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    ck_assert(exists(&reading));
    other = reading;
    other.fact.at = 5001;
    ck_assert(!exists(&other));
    other = reading;
    other.method = COIL_METHOD_STRIP;
    ck_assert(!exists(&other));
    other = reading;
    other.values[0].amount_e6 = 7400001;
    ck_assert(!exists(&other));
    other = reading;
    other.value_count = 2;
    other.values[1] = (struct db_value){.quantity = COIL_SALT, .amount_e6 = 3000000000};
    ck_assert(!exists(&other));
    ck_assert_int_eq(db_reading_add(store.db, &other), DB_OK); /* a second set */
    ck_assert(exists(&reading));
    ck_assert(exists(&other));
    id = store_withdraw(&store, reading.fact.id);
    ck_assert(!exists(&reading));
    store_correct(&store, id, 5000, 7400000);
    ck_assert(exists(&reading));
}
END_TEST

/* ---- batches ---- */

START_TEST(db_batch_withdraws_its_current_readings)
{
    struct db_reading readings[8];
    int64_t batch = 0, count = 0, ids[4], corrected;

    store_add(&store, 900, COIL_PH, 7400000);
    ck_assert_int_eq(
        db_batch_add(store.db, 5000, store.actor_id, "pool.csv", 4, &batch), DB_OK);
    for (int i = 0; i < 4; i++) {
        struct db_reading reading =
            store_reading(&store, 1000 + i, COIL_PH, 7000000 + i * 100000);

        reading.fact.batch_id = batch;
        ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
        ids[i] = reading.fact.id;
        ck_assert_int_eq(get(ids[i]).fact.batch_id, batch);
    }
    store_withdraw(&store, ids[0]);
    corrected = store_correct(&store, ids[1], 1001, 7900000);
    ck_assert_int_eq(
        db_batch_withdraw(store.db, batch, store.actor_id, 6000, "wrong file", &count),
        DB_OK);
    ck_assert_int_eq(count, 2);
    ck_assert_uint_eq(list(false, readings, 8), 2);
    ck_assert_int_eq(readings[0].fact.id, corrected);
    ck_assert_int_eq(readings[1].fact.at, 900);
    ck_assert_str_eq(get(get(ids[3]).fact.superseded_by).fact.reason, "wrong file");
    ck_assert_int_eq(
        db_batch_withdraw(store.db, batch, store.actor_id, 6000, "again", &count),
        DB_OK);
    ck_assert_int_eq(count, 0);
    ck_assert_int_eq(db_batch_withdraw(store.db, 77, store.actor_id, 6000, "", &count),
                     DB_NOT_FOUND);
}
END_TEST

/* ---- versions ---- */

START_TEST(db_site_is_version_0_until_set_up)
{
    struct db_site site, got;

    ck_assert_int_eq(db_site_get(store.db, &site), DB_OK);
    ck_assert_int_eq(site.version, 0);
    site = (struct db_site){.at = 7000,
                            .actor_id = store.actor_id,
                            .name = "Marlow Lane",
                            .has_place = true,
                            .latitude_e6 = 38900000,
                            .longitude_e6 = -77100000,
                            .zone = "America/New_York",
                            .us_units = true,
                            .decimal_comma = true};
    ck_assert_int_eq(db_site_put(store.db, &site), DB_OK);
    ck_assert_int_eq(site.version, 1);
    ck_assert_int_eq(db_site_get(store.db, &got), DB_OK);
    ck_assert_mem_eq(&got, &site, sizeof got);
    got.version = 0;
    ck_assert_int_eq(db_site_put(store.db, &got), DB_CONFLICT);
    site.has_place = false;
    site.latitude_e6 = site.longitude_e6 = 0;
    ck_assert_int_eq(db_site_put(store.db, &site), DB_OK);
    ck_assert_int_eq(site.version, 2);
    ck_assert_int_eq(db_site_get(store.db, &got), DB_OK);
    ck_assert(!got.has_place);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM site_version"), 2);
}
END_TEST

START_TEST(db_water_keeps_its_versions)
{
    struct db_water water, stale, ahead, got, all[3];
    size_t count = 0;

    ck_assert_int_eq(db_water_get(store.db, store.water_id, &water), DB_OK);
    stale = water;
    water.at = 5000;
    water.volume_m3_e6 = 62000000;
    water.winter_closed = true;
    water.sanitiser = COIL_BIGUANIDE;
    ck_assert_int_eq(db_water_put(store.db, &water), DB_OK);
    ck_assert_int_eq(water.version, 2);
    ck_assert_int_eq(db_water_put(store.db, &stale), DB_CONFLICT);
    ahead = water;
    ahead.version = 9;
    ck_assert_int_eq(db_water_put(store.db, &ahead), DB_CONFLICT);
    ck_assert_int_eq(db_water_get(store.db, store.water_id, &got), DB_OK);
    ck_assert_mem_eq(&got, &water, sizeof got);
    ck_assert_int_eq(db_water_get_at(store.db, store.water_id, 4999, &got), DB_OK);
    ck_assert_int_eq(got.version, 1);
    ck_assert_int_eq(db_water_get_at(store.db, store.water_id, 5000, &got), DB_OK);
    ck_assert_int_eq(got.version, 2);
    ck_assert_int_eq(db_water_get_at(store.db, store.water_id, 0, &got), DB_OK);
    ck_assert_int_eq(got.version, 1); /* before the first: the first */
    ck_assert_int_eq(db_water_get(store.db, 77, &got), DB_NOT_FOUND);
    water.id = 77;
    ck_assert_int_eq(db_water_put(store.db, &water), DB_NOT_FOUND);
    stale.name[0] = 'S';
    ck_assert_int_eq(db_water_add(store.db, &stale), DB_OK);
    ck_assert_int_eq(stale.id, 2);
    ck_assert_int_eq(stale.version, 1);
    ck_assert_int_eq(db_water_list(store.db, all, 3, &count), DB_OK);
    ck_assert_uint_eq(count, 2);
    ck_assert_int_eq(all[0].version, 2);
    ck_assert_str_eq(all[1].name, "Sool");
    ck_assert_int_eq(db_water_list(store.db, all, 1, &count), DB_OK);
    ck_assert_uint_eq(count, 1);
}
END_TEST

START_TEST(db_heater_keeps_its_limits_over_time)
{
    struct db_heater heater, got, all[4];
    size_t count = 0;
    int64_t heater_id = 0, water_id = 0;

    ck_assert_int_eq(db_heater_get(store.db, store.heater_id, &heater), DB_OK);
    heater.at = 5000;
    heater.bypass = COIL_BYPASS_PART_OPEN;
    heater.bypass_usual_percent = 30;
    heater.metal = DB_CUPRONICKEL;
    heater.input_w_e6 = 117000000000;
    heater.limits[COIL_LIMIT_PH_LOW] = (struct coil_limit){true, 7.2, COIL_MANUAL};
    heater.limits[COIL_LIMIT_SPA_TEMP_HIGH] = (struct coil_limit){true, 0.1, COIL_OWN};
    ck_assert_int_eq(db_heater_put(store.db, &heater), DB_OK);
    heater.at = 6000;
    heater.limits[COIL_LIMIT_PH_LOW].value = 7.4;
    ck_assert_int_eq(db_heater_put(store.db, &heater), DB_OK);
    ck_assert_int_eq(db_heater_get(store.db, heater.id, &got), DB_OK);
    ck_assert_mem_eq(&got, &heater, sizeof got);
    ck_assert_int_eq(db_heater_get_at(store.db, heater.id, 5999, &got), DB_OK);
    ck_assert(got.limits[COIL_LIMIT_PH_LOW].value == 7.2); /* to the last bit */
    ck_assert(got.limits[COIL_LIMIT_SPA_TEMP_HIGH].value == 0.1);
    ck_assert(!got.limits[COIL_LIMIT_PH_HIGH].is_set);
    ck_assert_int_eq(db_heater_get_at(store.db, heater.id, 10, &got), DB_OK);
    ck_assert_int_eq(got.version, 1);
    ck_assert_int_eq(db_heater_versions(store.db, heater.id, all, 4, &count), DB_OK);
    ck_assert_uint_eq(count, 3);
    ck_assert_int_eq(all[0].version, 1);
    ck_assert_int_eq(all[2].version, 3);
    heater.version = 1;
    ck_assert_int_eq(db_heater_put(store.db, &heater), DB_CONFLICT);
    heater.version = 9;
    ck_assert_int_eq(db_heater_put(store.db, &heater), DB_CONFLICT);
    ck_assert_int_eq(db_main_pair(store.db, &heater_id, &water_id), DB_OK);
    ck_assert_int_eq(heater_id, store.heater_id);
    ck_assert_int_eq(water_id, store.water_id);
    ck_assert_int_eq(db_heater_get(store.db, 77, &got), DB_NOT_FOUND);
}
END_TEST

START_TEST(db_main_pair_is_not_found_in_an_empty_store)
{
    struct db *empty = NULL;
    int64_t heater_id, water_id;

    ck_assert_int_eq(db_open(":memory:", DB_READ_WRITE, &empty), DB_OK);
    ck_assert_int_eq(db_main_pair(empty, &heater_id, &water_id), DB_NOT_FOUND);
    db_close(empty);
}
END_TEST

START_TEST(db_actor_is_one_for_each_name)
{
    int64_t dana = 0, robin = 0, again = 0, lower = 0;

    ck_assert_int_eq(db_actor(store.db, "Dana", &dana), DB_OK);
    ck_assert_int_eq(dana, store.actor_id);
    ck_assert_int_eq(db_actor(store.db, "Robin", &robin), DB_OK);
    ck_assert_int_eq(db_actor(store.db, "Robin", &again), DB_OK);
    ck_assert_int_eq(robin, again);
    ck_assert_int_eq(db_actor(store.db, "robin", &lower), DB_OK);
    ck_assert_int_ne(lower, robin);
    ck_assert_int_eq(db_actor(store.db, "", &lower), DB_FAILED);
}
END_TEST

/* ---- answers, journal, clock ---- */

START_TEST(db_answer_comes_back_byte_for_byte)
{
    static char body[] = "{\"a\":1,\0\"b\":2}";
    struct db_answer in = {.status = 201,
                           .body = body,
                           .body_length = sizeof body - 1,
                           .etag = "\"r-1\"",
                           .location = "/api/v1/readings/1"},
                     out;

    for (int i = 0; i < 32; i++)
        in.request_hash[i] = (uint8_t)(i * 8);
    ck_assert_int_eq(db_answer_get(store.db, "key-1", &out), DB_NOT_FOUND);
    ck_assert_int_eq(db_answer_put(store.db, "key-1", 5000, &in), DB_OK);
    ck_assert_int_eq(db_answer_put(store.db, "key-1", 5000, &in), DB_CONFLICT);
    ck_assert_int_eq(db_answer_get(store.db, "key-1", &out), DB_OK);
    ck_assert_int_eq(out.status, 201);
    ck_assert_uint_eq(out.body_length, in.body_length);
    ck_assert_mem_eq(out.body, body, in.body_length);
    ck_assert_mem_eq(out.request_hash, in.request_hash, 32);
    ck_assert_str_eq(out.etag, in.etag);
    ck_assert_str_eq(out.location, in.location);
    free(out.body);
    in.body = NULL;
    in.body_length = 0;
    ck_assert_int_eq(db_answer_put(store.db, "key-2", 6000, &in), DB_OK);
    ck_assert_int_eq(db_answer_get(store.db, "key-2", &out), DB_OK);
    ck_assert_uint_eq(out.body_length, 0);
    free(out.body);
    ck_assert_int_eq(db_answer_forget(store.db, 6000), DB_OK);
    ck_assert_int_eq(db_answer_get(store.db, "key-1", &out), DB_NOT_FOUND);
    ck_assert_int_eq(db_answer_get(store.db, "key-2", &out), DB_OK);
    free(out.body);
}
END_TEST

START_TEST(db_journal_keeps_what_was_and_what_is)
{
    ck_assert_int_eq(db_journal_add(store.db, 5000, store.actor_id, "192.0.2.7",
                                    "correct", "reading", 12, "{\"ph\":7.4}",
                                    "{\"ph\":7.6}"),
                     DB_OK);
    ck_assert_int_eq(
        db_journal_add(store.db, 5001, 0, NULL, "start", "daemon", 0, NULL, NULL),
        DB_OK);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM journal WHERE id = 1"
                                             " AND actor_id = 1 AND peer = '192.0.2.7'"
                                             " AND before = '{\"ph\":7.4}'"
                                             " AND after = '{\"ph\":7.6}'"),
                     1);
    ck_assert_int_eq(store_integer(store.db,
                                   "SELECT count(*) FROM journal WHERE id = 2"
                                   " AND actor_id IS NULL AND before IS NULL"),
                     1);
}
END_TEST

START_TEST(db_clock_jump_stays_open_until_confirmed)
{
    int64_t at = 9, jump_s = 9;

    ck_assert_int_eq(db_clock_open_jump(store.db, &at, &jump_s), DB_OK);
    ck_assert_int_eq(jump_s, 0);
    ck_assert_int_eq(db_clock_jump_add(store.db, 5000, -3600), DB_OK);
    ck_assert_int_eq(db_clock_jump_add(store.db, 6000, 7200), DB_OK);
    ck_assert_int_eq(db_clock_open_jump(store.db, &at, &jump_s), DB_OK);
    ck_assert_int_eq(at, 6000);
    ck_assert_int_eq(jump_s, 7200);
    ck_assert_int_eq(db_clock_confirm(store.db, 6100, store.actor_id), DB_OK);
    ck_assert_int_eq(db_clock_open_jump(store.db, &at, &jump_s), DB_OK);
    ck_assert_int_eq(jump_s, 0);
    ck_assert_int_eq(db_clock_jump_add(store.db, 100, -5900), DB_OK);
    ck_assert_int_eq(db_clock_open_jump(store.db, &at, &jump_s), DB_OK);
    ck_assert_int_eq(jump_s, -5900);
}
END_TEST

/* A wrong clock meanwhile does not lower it. */
START_TEST(db_newest_recorded_at_never_goes_back)
{
    int64_t newest = -1;
    struct db_dose dose = {.fact = store_fact(&store, 500),
                           .water_id = store.water_id,
                           .product = COIL_BORAX,
                           .amount_e6 = 1000000};

    ck_assert_int_eq(db_newest_recorded_at(store.db, &newest), DB_OK);
    ck_assert_int_eq(newest, 0);
    store_add(&store, 5000, COIL_PH, 7400000);
    ck_assert_int_eq(db_newest_recorded_at(store.db, &newest), DB_OK);
    ck_assert_int_eq(newest, 5060);
    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK); /* recorded at 560 */
    ck_assert_int_eq(db_newest_recorded_at(store.db, &newest), DB_OK);
    ck_assert_int_eq(newest, 5060);
    dose.fact = store_fact(&store, 6000);
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK);
    ck_assert_int_eq(db_newest_recorded_at(store.db, &newest), DB_OK);
    ck_assert_int_eq(newest, 6060);
    db_rollback(store.db);
    ck_assert_int_eq(db_newest_recorded_at(store.db, &newest), DB_OK);
    ck_assert_int_eq(newest, 5060);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("db_facts");
    TCase *facts = tcase_create("facts");

    tcase_add_checked_fixture(facts, start, finish);
    tcase_add_test(facts, db_reading_comes_back_as_it_was_added);
    tcase_add_test(facts, db_reading_holds_all_quantities_with_all_details);
    tcase_add_test(facts, db_dose_run_and_state_come_back_as_they_were_added);
    tcase_add_test(facts, db_correction_supersedes_and_keeps_the_old_one);
    tcase_add_test(facts, db_second_correction_of_one_fact_is_a_conflict);
    tcase_add_test(facts, db_withdrawal_takes_over_what_it_withdraws);
    tcase_add_test(facts, db_withdrawal_of_nothing_is_refused);
    tcase_add_test(facts, db_chain_of_undoing_keeps_every_link);
    tcase_add_test(facts, db_withdrawn_dose_run_and_state_leave_their_lists);
    tcase_add_test(facts, db_list_pages_give_each_fact_once_newest_first);
    tcase_add_test(facts, db_list_keeps_to_its_window);
    tcase_add_test(facts, db_reading_exists_compares_instant_method_and_values);
    tcase_add_test(facts, db_batch_withdraws_its_current_readings);
    tcase_add_test(facts, db_site_is_version_0_until_set_up);
    tcase_add_test(facts, db_water_keeps_its_versions);
    tcase_add_test(facts, db_heater_keeps_its_limits_over_time);
    tcase_add_test(facts, db_main_pair_is_not_found_in_an_empty_store);
    tcase_add_test(facts, db_actor_is_one_for_each_name);
    tcase_add_test(facts, db_answer_comes_back_byte_for_byte);
    tcase_add_test(facts, db_journal_keeps_what_was_and_what_is);
    tcase_add_test(facts, db_clock_jump_stays_open_until_confirmed);
    tcase_add_test(facts, db_newest_recorded_at_never_goes_back);
    suite_add_tcase(suite, facts);
    return store_run_suite(suite);
}
