/*
 * What is in the pipe: feeding, standing, restarting, flushing.
 *
 * Expected values: mass balances by hand; Faraday's law; pH of trichlor solutions
 * computed with the constants of O'Brien, Morris and Butler (1974), as in
 * trichlor_solution_ph_computed.csv.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/composition.h"
#include "lib/pipe_feed.h"
#include "tests/lib/line_build.h"

#define GPM (3.785411784 / 60.0) /* L/s */

static struct coil_line line;
static struct coil_constants constants;
static struct coil_closed_water pool;
static struct coil_line_feed feed;
static struct coil_line_still still;

/* pH 7.5, alkalinity 80, closed, 25 degC, nothing else: the water of the table. */
static void begin(void)
{
    struct coil_totals totals = {0};
    struct coil_equilibrium water;

    ck_assert_int_eq(coil_constants_at(25, COIL_CYANURATE_OBRIEN_1974, &constants),
                     COIL_OK);
    totals.sodium_mol_per_kg = coil_alkalinity_from_mg_per_l(80);
    ck_assert_int_ge(coil_equilibrium_solve(&constants, &totals,
                                            COIL_GIVEN_PH_ALKALINITY, 7.5,
                                            totals.sodium_mol_per_kg, &water),
                     0);
    coil_closed_from_equilibrium(&totals, &water, &pool);
}

/* The same with chlorine in it, and salt. */
static void add_to_pool(double chlorine_mg_per_l, double salt_mg_per_l)
{
    ck_assert_int_eq(
        coil_dose_add(&pool, COIL_REAGENT_NAOCL, chlorine_mg_per_l / 70906, &pool),
        COIL_OK);
    ck_assert_int_eq(
        coil_dose_add(&pool, COIL_REAGENT_NACL, salt_mg_per_l / 58442.8, &pool),
        COIL_OK);
}

static const enum coil_part_kind FEEDER_BEFORE[] = {
    COIL_PART_SKIMMER, COIL_PART_PUMP,   COIL_PART_EROSION_FEEDER, COIL_PART_PIPE,
    COIL_PART_HEATER,  COIL_PART_RETURN, (enum coil_part_kind)0};

static void put_rate(int part, enum coil_product product, double g_per_h)
{
    line.parts[part].feed.basis = COIL_FEED_RATE;
    line.parts[part].feed.product = product;
    line.parts[part].feed.rate_g_per_h = g_per_h;
}

static void run(void)
{
    struct coil_line_problem problem;

    ck_assert_int_eq(coil_line_check(&line, &problem), COIL_OK);
    ck_assert_int_ge(coil_line_feed(&line, 0, &constants, &pool, &feed), 0);
    ck_assert_double_eq_tol(feed.chlorine.delivered + feed.held_g_per_h,
                            feed.fed_g_per_h, 1e-9 * feed.fed_g_per_h + 1e-300);
}

/* mg/L = g/h x 1000 / (227.1 x gal/min): 10 g/h of trichlor holding 91.5 % chlorine are
 * 1.01 at 40 and 2.01 at 20 gal/min; 25 g/h of a salt cell 2.75 at 40, 11.0 at 10. */
START_TEST(rise_in_the_pipe_is_feed_over_flow)
{
    static const struct {
        double g_per_h, gpm, rise, tolerance;
    } rows[] = {{9.15, 40, 1.01, 0.005},
                {9.15, 20, 2.01, 0.005},
                {25, 40, 2.75, 0.005},
                {25, 10, 11.0, 0.05}};

    begin();
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    line.parts[1].flow_l_per_s = rows[_i].gpm * GPM;
    put_rate(2, COIL_TRICHLOR, rows[_i].g_per_h);
    run();
    ck_assert_double_eq_tol(feed.added_mg_per_l, rows[_i].rise, rows[_i].tolerance);
    ck_assert_double_eq_tol(feed.water.chlorine_mg_per_l, feed.added_mg_per_l, 1e-9);
    ck_assert_double_eq_tol(feed.to_heater_g_per_h, rows[_i].g_per_h, 1e-9);
    ck_assert_double_eq_tol(feed.heater_flow_l_per_s, rows[_i].gpm * GPM, 1e-12);
    /* what the pool has comes on top */
    add_to_pool(3, 0);
    run();
    ck_assert_double_eq_tol(feed.water.chlorine_mg_per_l, 3 + feed.added_mg_per_l,
                            1e-9);
}
END_TEST

/* 1.3228 g of Cl2 per ampere-hour and cell, by Faraday: M / (2 F / 3600). */
START_TEST(a_salt_cell_makes_what_faraday_says)
{
    struct coil_part part = {.id = 1, .kind = COIL_PART_SALT_CELL};
    struct coil_feed_rate rate;

    ck_assert_double_eq_tol(COIL_FARADAY_G_PER_AH, 70.906 / (2 * 96485.33212 / 3600),
                            5e-6);
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_ERR_UNKNOWN);
    part.feed.basis = COIL_FEED_CURRENT;
    part.feed.current_a = 5;
    part.feed.cell_count = 7;
    part.feed.efficiency_fraction = 0.9;
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_OK);
    ck_assert_double_eq_tol(rate.chlorine_g_per_h, 1.3228 * 5 * 7 * 0.9, 0.001);
    ck_assert_double_eq_tol(rate.mol_per_h[0], rate.chlorine_g_per_h / 70.906, 1e-9);
    ck_assert(rate.makes_from_salt);
    part.feed.basis = COIL_FEED_RATE;
    part.feed.rate_g_per_h = 25;
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_OK);
    ck_assert_double_eq(rate.chlorine_g_per_h, 25);
}
END_TEST

/* 200 g lost in 10 h of flow at 90 %: 18 g/h of chlorine, a third of its mol as
 * trichlor. Whatever the label says, pure trichlor leaves 0.607 mg cyanuric acid per mg
 * chlorine. */
START_TEST(tablets_are_weighed)
{
    struct coil_part part = {.id = 1, .kind = COIL_PART_EROSION_FEEDER};
    struct coil_feed_rate rate;

    part.feed.basis = COIL_FEED_WEIGHED;
    part.feed.product = COIL_TRICHLOR;
    part.feed.before_g = 1000;
    part.feed.after_g = 800;
    part.feed.interval_s = 36000;
    part.feed.strength_percent = 90;
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_OK);
    ck_assert_double_eq_tol(rate.chlorine_g_per_h, 18, 1e-9);
    ck_assert_int_eq(rate.count, 1);
    ck_assert_int_eq(rate.reagent[0], COIL_REAGENT_TRICHLOR);
    ck_assert_double_eq_tol(rate.mol_per_h[0], 18 / 70.906 / 3, 1e-9);
    ck_assert_double_eq_tol(rate.mol_per_h[0] * 129.074 / 18, 0.607, 0.0005);
    part.feed.product = COIL_BROMINE_TABLETS; /* the model has no bromine */
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_ERR_UNKNOWN);
    part.feed.product = (enum coil_product)0;
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_ERR_UNKNOWN);
    part.kind = COIL_PART_FILTER;
    ck_assert_int_eq(coil_feed_rate(&part, &rate), COIL_OK);
    ck_assert_int_eq(rate.count, 0);
}
END_TEST

/* Each product's own acidity: trichlor and gas lower pH, hypochlorite and cell raise
 * it, acid lowers it most. 10 mg/L of trichlor at alkalinity 80: pH 7.29 (the table).
 */
START_TEST(each_product_brings_its_own_acidity)
{
    double l_per_h = 3600 * 40 * GPM, plain, acid;

    begin();
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    line.parts[1].flow_l_per_s = 40 * GPM;
    put_rate(2, COIL_TRICHLOR, 9.1527 * l_per_h / 1000);
    run();
    ck_assert_double_eq_tol(feed.water.ph, 7.29, 0.03);
    put_rate(2, COIL_TRICHLOR, 91.527 * l_per_h / 1000);
    run();
    ck_assert_double_eq_tol(feed.water.ph, 6.63, 0.03);
    ck_assert_double_eq_tol(feed.water.hocl_mg_per_l, 29.2, 0.3);
    put_rate(2, COIL_CHLORINE_GAS, 91.5 * l_per_h / 1000);
    run();
    ck_assert_double_lt(feed.water.ph, 6.63); /* stronger still */
    put_rate(2, COIL_SODIUM_HYPOCHLORITE, 91.5 * l_per_h / 1000);
    run();
    ck_assert_double_gt(feed.water.ph, 7.6);
    add_to_pool(0, 3000);
    run();
    plain = feed.water.ph;
    line.parts[2].kind = COIL_PART_SALT_CELL;
    run();
    ck_assert_double_eq_tol(feed.water.ph, plain, 0.02); /* the same but for salt */
    line.parts[2].kind = COIL_PART_ACID_INJECTION;
    put_rate(2, COIL_HYDROCHLORIC_ACID, 36.461e-3 * l_per_h);
    run(); /* 1 mmol/L of HCl takes 50 mg/L off the alkalinity of 80 */
    ck_assert_double_eq_tol(feed.fed_g_per_h, 0, 1e-12);
    ck_assert_double_eq_tol(
        coil_mg_per_l_from_alkalinity(feed.water.closed.alkalinity_eq_per_kg), 30, 0.2);
    acid = feed.water.ph;
    ck_assert_double_lt(acid, 6.5);
}
END_TEST

START_TEST(several_feeders_add_up_and_only_those_before_the_heater_count)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER,   COIL_PART_PUMP,        COIL_PART_EROSION_FEEDER,
        COIL_PART_SALT_CELL, COIL_PART_HEATER,      COIL_PART_CHLORINE_INJECTION,
        COIL_PART_RETURN,    (enum coil_part_kind)0};
    int floating;

    begin();
    add_to_pool(2, 3000);
    line_begin(&line);
    line_chain(&line, chain);
    line.parts[1].flow_l_per_s = 2;
    put_rate(2, COIL_TRICHLOR, 10);
    put_rate(3, (enum coil_product)0, 20);
    put_rate(5, COIL_SODIUM_HYPOCHLORITE, 50);
    floating = line_part(&line, COIL_PART_FLOATING_DISPENSER);
    put_rate(floating, COIL_TRICHLOR, 5); /* in the pool, not in the line */
    run();
    ck_assert_double_eq_tol(feed.fed_g_per_h, 80, 1e-9);
    ck_assert_double_eq_tol(feed.to_heater_g_per_h, 30, 1e-9);
    ck_assert_double_eq_tol(feed.added_mg_per_l, 30 / 7.2, 1e-9); /* 7200 L/h */
    ck_assert_double_eq_tol(feed.water.chlorine_mg_per_l, 2 + 30 / 7.2, 1e-9);
    ck_assert_double_eq_tol(feed.chlorine.delivered, 80, 1e-9);
    ck_assert_int_eq(feed.unknown_count, 0);
    line.parts[5].feed.basis = COIL_FEED_UNKNOWN;
    run();
    ck_assert_int_eq(feed.unknown_count, 1);
    ck_assert_double_eq_tol(feed.fed_g_per_h, 30, 1e-9);
}
END_TEST

/* A feeder in the bypass: its chlorine does not pass the heater. One before the split
 * does, as strong as before it. */
START_TEST(a_split_keeps_strength_and_divides_grams)
{
    int pump, first, split, heater, bypass, second, join;

    begin();
    line_begin(&line);
    pump = line_part(&line, COIL_PART_PUMP);
    first = line_part(&line, COIL_PART_EROSION_FEEDER);
    split = line_part(&line, COIL_PART_TEE);
    heater = line_part(&line, COIL_PART_HEATER);
    bypass = line_part(&line, COIL_PART_BYPASS);
    second = line_part(&line, COIL_PART_EROSION_FEEDER);
    join = line_part(&line, COIL_PART_TEE);
    line_join(&line, line_part(&line, COIL_PART_SKIMMER), pump);
    line_join(&line, pump, first);
    line_join(&line, first, split);
    line.edges[line_join(&line, split, heater)].share = 3;
    line_join(&line, heater, join);
    line.edges[line_join(&line, split, bypass)].share = 1;
    line_join(&line, bypass, second);
    line_join(&line, second, join);
    line_join(&line, join, line_part(&line, COIL_PART_RETURN));
    put_rate(first, COIL_TRICHLOR, 36);
    put_rate(second, COIL_TRICHLOR, 18);
    run();
    ck_assert_double_eq_tol(feed.heater_flow_l_per_s, 1.5, 1e-12);
    ck_assert_double_eq_tol(feed.to_heater_g_per_h, 27, 1e-9);
    ck_assert_double_eq_tol(feed.added_mg_per_l, 36 / 7.2, 1e-9);
    ck_assert_double_eq_tol(feed.chlorine.part_in[join], 54, 1e-9);
}
END_TEST

/* A metering pump that nothing leads into: its feed goes on with the water it meets. */
START_TEST(a_feeder_without_inlet_feeds_the_part_it_ends_in)
{
    int injection;

    begin();
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    injection = line_part(&line, COIL_PART_CHLORINE_INJECTION);
    line_join(&line, injection, 3);
    put_rate(2, COIL_TRICHLOR, 10);
    put_rate(injection, COIL_SODIUM_HYPOCHLORITE, 7);
    run();
    ck_assert_double_eq_tol(feed.to_heater_g_per_h, 17, 1e-9);
    ck_assert_double_eq_tol(feed.chlorine.part_in[3], 17, 1e-9);
    ck_assert_double_eq(feed.held_g_per_h, 0);
}
END_TEST

/* NaCl + H2O = NaOCl + H2: a mol of chlorine made takes a mol of chloride. */
START_TEST(a_salt_cell_uses_up_salt)
{
    double chloride, chlorine;

    begin();
    add_to_pool(2, 3000);
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    line.parts[2].kind = COIL_PART_SALT_CELL;
    put_rate(2, (enum coil_product)0, 100);
    run();
    chloride =
        pool.totals.chloride_mol_per_kg - feed.water.closed.totals.chloride_mol_per_kg;
    chlorine =
        feed.water.closed.totals.chlorine_mol_per_kg - pool.totals.chlorine_mol_per_kg;
    ck_assert_double_gt(chlorine, 1e-5);
    ck_assert_double_eq_tol(chloride, chlorine, 1e-12);
}
END_TEST

START_TEST(without_flow_the_feed_is_held_and_the_heater_has_no_water)
{
    begin();
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    put_rate(2, COIL_TRICHLOR, 10);
    line.positions[0].setting[1] = COIL_SET_CLOSED;
    run();
    ck_assert(!feed.has_water);
    ck_assert_double_eq_tol(feed.held_g_per_h, 10, 1e-12);
    ck_assert_double_eq(feed.to_heater_g_per_h, 0);
    ck_assert_int_eq(coil_line_feed(&line, 3, &constants, &pool, &feed),
                     COIL_ERR_DOMAIN);
}
END_TEST

/* More chlorine in the pipe the more is fed, and the less water passes. */
START_TEST(strength_rises_with_feed_and_falls_with_flow)
{
    double last = 0, last_ph = 9;

    begin();
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    for (double g = 1; g < 5000; g *= 2) {
        put_rate(2, COIL_TRICHLOR, g);
        run();
        ck_assert_double_eq_tol(feed.added_mg_per_l / g, 1 / 7.2, 1e-12);
        ck_assert_double_gt(feed.water.hocl_mg_per_l, last);
        ck_assert_double_lt(feed.water.ph, last_ph);
        last = feed.water.hocl_mg_per_l;
        last_ph = feed.water.ph;
    }
    for (double flow = 4; flow > 0.1; flow /= 2) {
        line.parts[1].flow_l_per_s = flow;
        put_rate(2, COIL_TRICHLOR, 10);
        run();
        ck_assert_double_eq_tol(feed.added_mg_per_l, 10 / 3.6 / flow, 1e-9);
    }
}
END_TEST

/* Rows of alkalinity 80: 12 g/L 2.92, 1 g/L 3.78; and of 100 mg/L 6.63, where the two
 * sets of constants differ in free HOCl but hardly in pH. */
START_TEST(strong_trichlor_has_its_ph_with_every_set_of_constants)
{
    static const struct {
        double g_per_l, ph, tolerance;
    } rows[] = {{12, 2.92, 0.03}, {1, 3.78, 0.03}, {0.1, 6.63, 0.1}};
    static const enum coil_cyanurate_source sources[] = {
        COIL_CYANURATE_WAHMAN_2019, COIL_CYANURATE_WAHMAN_2019_ALONE,
        COIL_CYANURATE_OBRIEN_1974};

    begin();
    for (size_t k = 0; k < 3; k++) {
        ck_assert_int_eq(coil_constants_at(25, sources[k], &constants), COIL_OK);
        for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
            struct coil_feed_sum sum = {{0}};
            struct coil_feed_water water;

            sum.mol[COIL_REAGENT_TRICHLOR] = rows[i].g_per_l / 232.410;
            ck_assert_int_ge(coil_feed_dissolve(&constants, &pool, &sum, 1, &water), 0);
            ck_assert_double_eq_tol(water.ph, rows[i].ph, rows[i].tolerance);
        }
    }
}
END_TEST

START_TEST(dissolving_refuses_what_has_no_meaning)
{
    struct coil_feed_sum sum = {{0}};
    struct coil_feed_water water, kept;

    begin();
    memset(&water, 7, sizeof water);
    kept = water;
    ck_assert_int_eq(coil_feed_dissolve(&constants, &pool, &sum, 0, &water),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_feed_dissolve(&constants, &pool, &sum, NAN, &water),
                     COIL_ERR_NOT_FINITE);
    sum.mol[COIL_REAGENT_TRICHLOR] = -1;
    ck_assert_int_eq(coil_feed_dissolve(&constants, &pool, &sum, 1, &water),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(memcmp(&water, &kept, sizeof water), 0);
    /* Stronger than the model: chlorine is told, pH is not. */
    sum.mol[COIL_REAGENT_TRICHLOR] = 0;
    sum.mol[COIL_REAGENT_NAOCL] = 1;
    ck_assert_int_eq(coil_feed_dissolve(&constants, &pool, &sum, 1, &water),
                     COIL_WARN_RANGE);
    ck_assert(!water.has_ph);
    ck_assert(water.is_extrapolated);
    ck_assert_double_eq_tol(water.chlorine_mg_per_l, 70906, 1e-6);
}
END_TEST

/* ---- the pump stands ---- */

/* 12 g/L of trichlor hold 10 983 mg/L of chlorine; dichlor anhydrous has 64.47 %. */
START_TEST(solubilities_are_as_remembered)
{
    ck_assert_double_eq_tol(coil_feed_solubility_mg_per_l(COIL_REAGENT_TRICHLOR),
                            10983.2, 0.5);
    ck_assert_double_eq_tol(coil_feed_solubility_mg_per_l(COIL_REAGENT_DICHLOR), 154728,
                            100);
    ck_assert_double_eq(coil_feed_solubility_mg_per_l(COIL_REAGENT_NAOCL), 125000);
    ck_assert(isinf(coil_feed_solubility_mg_per_l(COIL_REAGENT_HCL)));
}
END_TEST

static void feeder_before(double g_per_h)
{
    begin();
    line_begin(&line);
    line_chain(&line, FEEDER_BEFORE);
    line.parts[2].volume_l = 5;
    line.parts[3].length_m = 2; /* 2 inch: 4.330 L */
    line.parts[4].volume_l = 10;
    put_rate(2, COIL_TRICHLOR, g_per_h);
}

/* 10 g/h over 8 h into 19.33 L: 4138 mg/L; 2 L/s take it through in 9.7 s. In the
 * feeder's 5 L alone: 80 g would be 16 000 mg/L, but only 10 983 dissolve: 54.9 g, pH
 * 2.92 (the table's row of 12 g/L at alkalinity 80), 2.5 s. */
START_TEST(a_stopped_line_gathers_a_slug_bounded_by_solubility)
{
    feeder_before(10);
    ck_assert_int_ge(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still), 0);
    ck_assert_int_eq(still.source_count, 1);
    ck_assert_double_eq_tol(still.standing_l, 19.33, 0.005);
    ck_assert_double_eq_tol(still.spread.peak_mg_per_l, 80000 / 19.33, 1.5);
    ck_assert_double_eq_tol(still.spread.chlorine_g, 80, 1e-9);
    ck_assert_double_eq_tol(still.spread.seconds, 9.665, 0.005);
    ck_assert(!still.spread.still.is_saturated);
    ck_assert(still.has_close);
    ck_assert(still.close.still.is_saturated);
    ck_assert_double_eq_tol(still.close.peak_mg_per_l, 10983, 1);
    ck_assert_double_eq_tol(still.close.chlorine_g, 54.916, 0.005);
    ck_assert_double_eq_tol(still.close.seconds, 2.5, 1e-9);
    ck_assert_double_eq_tol(still.close.still.water.ph, 2.92, 0.03);
    ck_assert_double_gt(still.spread.still.water.ph, still.close.still.water.ph);
}
END_TEST

START_TEST(the_slug_grows_with_time_up_to_saturation)
{
    double last = 0, saturated = 0;

    feeder_before(10);
    for (double hours = 0; hours < 2000; hours = hours * 2 + 1) {
        ck_assert_int_ge(coil_line_still(&line, 0, 0, hours, &constants, &pool, &still),
                         0);
        ck_assert_double_ge(still.spread.peak_mg_per_l, last);
        ck_assert_double_le(still.spread.peak_mg_per_l, 10983.3);
        ck_assert_double_le(still.spread.chlorine_g, 10 * hours + 1e-9);
        last = still.spread.peak_mg_per_l;
        saturated = still.spread.still.is_saturated;
    }
    ck_assert_double_eq_tol(last, 10983.2, 0.5);
    ck_assert(saturated);
}
END_TEST

START_TEST(interlocks_and_check_valves_keep_the_standing_water_clean)
{
    static const enum coil_part_kind after[] = {
        COIL_PART_SKIMMER,   COIL_PART_PUMP,   COIL_PART_HEATER,      COIL_PART_TEE,
        COIL_PART_SALT_CELL, COIL_PART_RETURN, (enum coil_part_kind)0};

    feeder_before(10);
    line.parts[2].kind = COIL_PART_CHLORINE_INJECTION;
    ck_assert_int_eq(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still),
                     COIL_OK);
    ck_assert_int_eq(still.source_count, 0); /* interlocked */
    ck_assert_double_eq(still.spread.peak_mg_per_l, 0);
    line.parts[2].is_interlocked = false;
    ck_assert_int_ge(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still), 0);
    ck_assert_int_eq(still.source_count, 1);
    ck_assert_double_eq_tol(still.spread.chlorine_g, 80, 1e-9);

    line_begin(
        &line); /* after the heater: drifts back, unless a check valve is there */
    line_chain(&line, after);
    add_to_pool(0, 3000);
    line.parts[2].volume_l = 10;
    line.parts[4].volume_l = 1;
    line.parts[4].is_interlocked = false;
    put_rate(4, (enum coil_product)0, 20);
    ck_assert_int_ge(coil_line_still(&line, 0, 0, 1, &constants, &pool, &still), 0);
    ck_assert_int_eq(still.source_count, 1);
    ck_assert_double_eq_tol(still.standing_l, 11, 1e-9);
    ck_assert_double_eq_tol(still.spread.chlorine_g, 20, 1e-9);
    /* 3000 mg/L NaCl hold no more than 3640 mg/L of chlorine as Cl2 for the cell. */
    ck_assert_double_eq_tol(still.close.peak_mg_per_l, 3000 * 70.906 / 58.4428, 1);
    ck_assert(still.close.still.is_saturated);
    line.parts[3].kind = COIL_PART_CHECK_VALVE;
    ck_assert_int_eq(coil_line_still(&line, 0, 0, 1, &constants, &pool, &still),
                     COIL_OK);
    ck_assert_int_eq(still.source_count, 0);
}
END_TEST

START_TEST(standing_water_needs_volumes_and_known_feeds)
{
    feeder_before(10);
    line.parts[2].feed.basis = COIL_FEED_UNKNOWN;
    ck_assert_int_eq(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still),
                     COIL_OK);
    ck_assert_int_eq(still.source_count, 1);
    ck_assert_int_eq(still.unknown_count, 1);
    feeder_before(10);
    line.parts[3].kind = COIL_PART_TEE;
    line.parts[2].volume_l = line.parts[4].volume_l = 0;
    memset(&still, 7, sizeof still);
    ck_assert_int_eq(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(still.source_count, 0x07070707); /* untouched */
    ck_assert_int_eq(coil_line_still(&line, 0, 0, NAN, &constants, &pool, &still),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_line_still(&line, 0, 0, -1, &constants, &pool, &still),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_line_still(&line, 1, 0, 8, &constants, &pool, &still),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_line_still(&line, 0, 1, 8, &constants, &pool, &still),
                     COIL_ERR_DOMAIN);
}
END_TEST

/* Hypochlorite, so that pH stays above any wall. 1000 mg/L in 20 L, 2 L/s, pool 2,
 * limit 5: left may be (5 - 2)/(1002 - 2) = 0.003 of it; 10 s x ln(1000/3) = 58.1 s. */
START_TEST(flushing_takes_the_time_of_a_stirred_tank)
{
    struct coil_feed_limits limits = {5, 7.2};
    struct coil_feed_sum sum = {{0}};
    struct coil_still water;
    double seconds = 5;

    begin();
    add_to_pool(2, 0);
    sum.mol[COIL_REAGENT_NAOCL] = 20 * 1000.0 / 70906;
    ck_assert_int_eq(coil_still_water(&constants, &pool, &sum, 1, 20, &water), COIL_OK);
    ck_assert_double_eq_tol(water.water.chlorine_mg_per_l, 1002, 1e-6);
    ck_assert_int_eq(
        coil_flush_seconds(&constants, &pool, &water, 2, NULL, &limits, &seconds),
        COIL_OK);
    ck_assert_double_eq_tol(seconds, 10 * log(1000.0 / 3), 1e-3);
    /* twice the flow, half the time */
    ck_assert_int_eq(
        coil_flush_seconds(&constants, &pool, &water, 4, NULL, &limits, &seconds),
        COIL_OK);
    ck_assert_double_eq_tol(seconds, 5 * log(1000.0 / 3), 1e-3);
    /* nearly clean, or clean: one change of the water all the same */
    limits.chlorine_mg_per_l = 600; /* ln(1000/598) is only 0.51 */
    ck_assert_int_eq(
        coil_flush_seconds(&constants, &pool, &water, 2, NULL, &limits, &seconds),
        COIL_OK);
    ck_assert_double_eq_tol(seconds, 10, 1e-9);
    limits.chlorine_mg_per_l = 2000;
    ck_assert_int_eq(
        coil_flush_seconds(&constants, &pool, &water, 2, NULL, &limits, &seconds),
        COIL_OK);
    ck_assert_double_eq_tol(seconds, 10, 1e-9);
}
END_TEST

START_TEST(acid_water_is_flushed_until_ph_is_back_too)
{
    struct coil_feed_limits wide = {100000, 7.2}, both = {5, 7.2};
    struct coil_closed_water rest, mixed;
    struct coil_equilibrium solved;
    double by_ph = NAN, by_both = NAN;

    feeder_before(10);
    ck_assert_int_ge(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still), 0);
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.close.still, 2, NULL,
                                        &wide, &by_ph),
                     COIL_OK);
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.close.still, 2, NULL,
                                        &both, &by_both),
                     COIL_OK);
    ck_assert_double_gt(by_ph, 2.5);
    ck_assert_double_gt(by_both, by_ph); /* chlorine is the slower here */
    /* put in by hand: at that time pH is at its wall, shortly before it is below */
    rest = still.close.still.water.closed;
    ck_assert_int_eq(coil_water_mix(&pool, &rest, exp(-by_ph / 2.5), &mixed), COIL_OK);
    ck_assert_int_ge(coil_closed_solve(&constants, &mixed, &solved), 0);
    ck_assert_double_eq_tol(solved.ph, 7.2, 1e-6);
}
END_TEST

START_TEST(a_feeder_that_goes_on_too_strong_keeps_the_heater_out)
{
    struct coil_feed_limits limits = {5, 7.2};
    double seconds = 5;

    feeder_before(100); /* 13.9 mg/L while it feeds */
    run();
    ck_assert_int_ge(coil_line_still(&line, 0, 0, 8, &constants, &pool, &still), 0);
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.spread.still, 2,
                                        &feed.water.closed, &limits, &seconds),
                     COIL_ERR_NO_SOLUTION);
    limits.ph_low = 7.6; /* the pool's own pH is 7.5 */
    limits.chlorine_mg_per_l = 1000;
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.spread.still, 2, NULL,
                                        &limits, &seconds),
                     COIL_ERR_NO_SOLUTION);
    limits.ph_low = 7.2;
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.spread.still, 0, NULL,
                                        &limits, &seconds),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.spread.still, NAN,
                                        NULL, &limits, &seconds),
                     COIL_ERR_NOT_FINITE);
    limits.chlorine_mg_per_l = 0;
    ck_assert_int_eq(coil_flush_seconds(&constants, &pool, &still.spread.still, 2, NULL,
                                        &limits, &seconds),
                     COIL_ERR_DOMAIN);
    ck_assert_double_eq(seconds, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("pipe_feed");
    TCase *tcase = tcase_create("pipe_feed");
    SRunner *runner;
    int failed;

    tcase_add_loop_test(tcase, rise_in_the_pipe_is_feed_over_flow, 0, 4);
    tcase_add_test(tcase, a_salt_cell_makes_what_faraday_says);
    tcase_add_test(tcase, tablets_are_weighed);
    tcase_add_test(tcase, each_product_brings_its_own_acidity);
    tcase_add_test(tcase,
                   several_feeders_add_up_and_only_those_before_the_heater_count);
    tcase_add_test(tcase, a_split_keeps_strength_and_divides_grams);
    tcase_add_test(tcase, a_feeder_without_inlet_feeds_the_part_it_ends_in);
    tcase_add_test(tcase, a_salt_cell_uses_up_salt);
    tcase_add_test(tcase, without_flow_the_feed_is_held_and_the_heater_has_no_water);
    tcase_add_test(tcase, strength_rises_with_feed_and_falls_with_flow);
    tcase_add_test(tcase, strong_trichlor_has_its_ph_with_every_set_of_constants);
    tcase_add_test(tcase, dissolving_refuses_what_has_no_meaning);
    tcase_add_test(tcase, solubilities_are_as_remembered);
    tcase_add_test(tcase, a_stopped_line_gathers_a_slug_bounded_by_solubility);
    tcase_add_test(tcase, the_slug_grows_with_time_up_to_saturation);
    tcase_add_test(tcase, interlocks_and_check_valves_keep_the_standing_water_clean);
    tcase_add_test(tcase, standing_water_needs_volumes_and_known_feeds);
    tcase_add_test(tcase, flushing_takes_the_time_of_a_stirred_tank);
    tcase_add_test(tcase, acid_water_is_flushed_until_ph_is_back_too);
    tcase_add_test(tcase, a_feeder_that_goes_on_too_strong_keeps_the_heater_out);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
