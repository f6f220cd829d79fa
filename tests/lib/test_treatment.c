/*
 * The plan of treatment: published amounts, what must hold for every plan, refusals.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/dose_product.h"
#include "lib/treatment.h"
#include "tests/support/random_water.h"

#define SEED UINT64_C(1970010100000005)

static struct coil_treatment_input pool(void)
{
    static const struct coil_wanted_basis basis = {true, true, false};
    struct coil_treatment_input in;
    int i;

    coil_treatment_input_init(&in);
    for (i = 0; i < COIL_AIM_COUNT; i++)
        in.wanted[i] = coil_wanted_default((enum coil_aim)i, &basis);
    in.volume_m3 = 40;
    in.knows_calcium = true;
    in.chlorine_step_mg_per_l = 0.1;
    in.steps = (struct coil_saturation_steps){0.1, 10, 10, 100, 5, 5, 0.5};
    in.water = (struct coil_composition){.ph = 7.5,
                                         .total_alkalinity_mg_per_l_caco3 = 100,
                                         .calcium_hardness_mg_per_l_caco3 = 250,
                                         .salt_mg_per_l_nacl = 500,
                                         .cyanuric_acid_mg_per_l = 40,
                                         .chlorine_mg_per_l = 3,
                                         .water_temp_c = 27};
    return in;
}

/* Nothing wanted but this, so that a plan is one product and its arithmetic. */
static void want_only(struct coil_treatment_input *in, enum coil_aim aim, double low,
                      double high)
{
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++)
        in->wanted[i].is_set = false;
    in->wanted[aim] = (struct coil_wanted){true, low, high};
}

static struct coil_treatment_plan planned(const struct coil_treatment_input *in)
{
    struct coil_treatment_plan plan;
    const char *field = "none";
    enum coil_status status = coil_treatment_plan(in, &plan, &field);

    ck_assert_msg(status >= 0, "%s at %s", coil_status_name(status), field);
    return plan;
}

static double amount_of(const struct coil_treatment_plan *plan,
                        enum coil_product product)
{
    double sum = 0;
    int i;

    for (i = 0; i < plan->step_count; i++) {
        if (plan->steps[i].kind == COIL_STEP_DOSE && plan->steps[i].product == product)
            sum += plan->steps[i].amount;
    }
    return sum;
}

START_TEST(water_inside_all_ranges_needs_nothing)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan = planned(&in);
    int i;

    ck_assert_int_eq(plan.step_count, 0);
    for (i = 0; i < COIL_AIM_COUNT; i++)
        ck_assert_int_eq(plan.outcome[i],
                         in.wanted[i].is_set ? COIL_AIM_IN_RANGE : COIL_AIM_NOT_WANTED);
}
END_TEST

/* Stoichiometry: grams (mL) per m3 and mg/L, as in fixtures/tables/doses.csv rows D01,
 * D07, D08, D17, D24. A value from below goes a quarter into its range. */
START_TEST(single_doses_are_those_of_the_published_rules)
{
    static const struct {
        enum coil_aim aim;
        double low, high, from;
        enum coil_product product;
        double strength_percent, per_m3_and_mg_per_l;
    } cases[] = {
        {COIL_AIM_ALKALINITY, 80, 120, 60, COIL_SODIUM_BICARBONATE, 100, 1.6787},
        {COIL_AIM_CALCIUM, 200, 400, 150, COIL_CALCIUM_CHLORIDE, 100, 1.1089},
        {COIL_AIM_CYANURIC_ACID, 30, 50, 10, COIL_CYANURIC_ACID_PRODUCT, 100, 1.0000},
        {COIL_AIM_CHLORINE, 2, 4, 0.5, COIL_SODIUM_HYPOCHLORITE, 12.5, 8.0000},
        {COIL_AIM_SALT, 3000, 3400, 1000, COIL_SODIUM_CHLORIDE, 100, 1.0000},
    };
    size_t i;

    for (i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct coil_treatment_input in = pool();
        struct coil_shed_item item = {1, cases[i].product, cases[i].strength_percent,
                                      1e6, 0};
        double target = cases[i].low + 0.25 * (cases[i].high - cases[i].low);
        double expected =
            (target - cases[i].from) * cases[i].per_m3_and_mg_per_l * in.volume_m3;
        struct coil_treatment_plan plan;

        in.shed = &item;
        in.shed_count = 1;
        in.limits = (struct coil_dose_limits){1e4, 1e4, 1e4, 1e4, 1e4};
        want_only(&in, cases[i].aim, cases[i].low, cases[i].high);
        if (cases[i].aim == COIL_AIM_ALKALINITY)
            in.water.total_alkalinity_mg_per_l_caco3 = cases[i].from;
        else if (cases[i].aim == COIL_AIM_CALCIUM)
            in.water.calcium_hardness_mg_per_l_caco3 = cases[i].from;
        else if (cases[i].aim == COIL_AIM_CYANURIC_ACID)
            in.water.cyanuric_acid_mg_per_l = cases[i].from;
        else if (cases[i].aim == COIL_AIM_CHLORINE)
            in.water.chlorine_mg_per_l = cases[i].from;
        else
            in.water.salt_mg_per_l_nacl = cases[i].from;
        plan = planned(&in);
        ck_assert_int_eq(plan.step_count, 1);
        ck_assert_int_eq(plan.steps[0].product, cases[i].product);
        ck_assert_int_eq(plan.outcome[cases[i].aim], COIL_AIM_REACHED);
        /* measured to 10 g or mL; table digits to 0.1 % */
        ck_assert_double_eq_tol(plan.steps[0].amount, expected,
                                5.01 + 0.001 * expected);
    }
}
END_TEST

/* D18: 1.9971 mL of 31.45 % acid per m3 and mg/L alkalinity. */
START_TEST(high_alkalinity_takes_the_published_amount_of_acid_in_parts)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan;
    int i, acids = 0;

    in.water.total_alkalinity_mg_per_l_caco3 = 150;
    in.water.ph = 7.8;
    plan = planned(&in);
    ck_assert_int_eq(plan.outcome[COIL_AIM_ALKALINITY], COIL_AIM_REACHED);
    ck_assert_double_eq_tol(amount_of(&plan, COIL_HYDROCHLORIC_ACID),
                            1.9971 * 40 * (150 - 110), 10 + 0.002 * 3200);
    for (i = 0; i < plan.step_count; i++) {
        const struct coil_treatment_step *step = &plan.steps[i];

        if (step->kind != COIL_STEP_DOSE)
            continue;
        acids++;
        ck_assert_double_le(step->before.value[COIL_AIM_ALKALINITY] -
                                step->after.value[COIL_AIM_ALKALINITY],
                            10.2);
        ck_assert_double_ge(step->wait_h, 4);
        ck_assert_int_eq(plan.steps[i + 1].kind, COIL_STEP_AERATE);
    }
    ck_assert_int_eq(acids, 4); /* 40 mg/L by 10 */
}
END_TEST

/* 120 to 45 with fill water that has none: 1 - 45/120. */
START_TEST(cyanuric_acid_comes_down_by_replacing_water)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan;
    double left = 1;
    int i;

    in.water.cyanuric_acid_mg_per_l = 120;
    in.knows_fill = true;
    in.fill = in.water;
    in.fill.cyanuric_acid_mg_per_l = 0;
    in.fill.chlorine_mg_per_l = 0;
    plan = planned(&in);
    ck_assert_int_eq(plan.outcome[COIL_AIM_CYANURIC_ACID], COIL_AIM_AFTER_REPLACE);
    ck_assert_double_eq_tol(plan.replace_fraction, 1 - 45.0 / 120, 1e-9);
    for (i = 0; plan.steps[i].kind == COIL_STEP_REPLACE; i++) {
        ck_assert_double_le(plan.steps[i].fraction, 1.0 / 3 + 1e-9);
        ck_assert(!plan.steps[i].pump_on);
        left *= 1 - plan.steps[i].fraction;
    }
    ck_assert_double_eq_tol(left, 45.0 / 120, 1e-9);
    ck_assert_double_eq_tol(plan.steps[i - 1].after.value[COIL_AIM_CYANURIC_ACID], 45,
                            1e-6);
}
END_TEST

START_TEST(without_the_fill_waters_values_the_least_part_is_told_and_the_rest_planned)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan;

    in.water.cyanuric_acid_mg_per_l = 100;
    in.water.ph = 7.9;
    plan = planned(&in);
    ck_assert_int_eq(plan.outcome[COIL_AIM_CYANURIC_ACID], COIL_AIM_FILL_UNKNOWN);
    ck_assert(plan.replace_is_least);
    ck_assert_double_eq_tol(plan.replace_fraction, 0.5, 1e-9); /* 100 to 50 */
    ck_assert_int_eq(plan.outcome[COIL_AIM_PH], COIL_AIM_REACHED);
    ck_assert_int_eq(plan.steps[0].kind, COIL_STEP_DOSE);
}
END_TEST

START_TEST(fill_water_that_has_too_much_itself_is_said_to_be_no_help)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan;

    in.water.calcium_hardness_mg_per_l_caco3 = 600;
    in.knows_fill = true;
    in.fill = in.water;
    in.fill.calcium_hardness_mg_per_l_caco3 = 420;
    plan = planned(&in);
    ck_assert_int_eq(plan.outcome[COIL_AIM_CALCIUM], COIL_AIM_FILL_TOO_HIGH);
    ck_assert_double_eq(plan.replace_fraction, 0);
}
END_TEST

START_TEST(what_is_in_the_shed_comes_before_what_must_be_bought)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item shed[] = {{7, COIL_SODIUM_BISULFATE, 93, 9000, 0},
                                    {8, COIL_CALCIUM_HYPOCHLORITE, 65, 2000, 0}};
    struct coil_treatment_plan plan;

    in.shed = shed;
    in.shed_count = 2;
    in.water.ph = 7.9;
    in.water.chlorine_mg_per_l = 1;
    plan = planned(&in);
    ck_assert_int_eq(plan.step_count, 2);
    ck_assert_int_eq(plan.to_buy_count, 0);
    ck_assert_int_eq(plan.steps[0].shed_id, 7);
    ck_assert_int_eq(plan.steps[1].shed_id, 8);
    /* acid before chlorine: hours between, another place */
    ck_assert_double_ge(plan.steps[0].wait_h, 4);
    ck_assert(plan.steps[1].other_place);
}
END_TEST

/* 20 mg/L by 1.6787 g per m3 of bicarbonate in 40 m3: 1343 g. */
START_TEST(amounts_come_in_what_the_scoop_or_scale_can_measure)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item item = {7, COIL_SODIUM_BICARBONATE, 100, 5000, 250};
    struct coil_treatment_plan plan;

    in.shed = &item;
    in.shed_count = 1;
    want_only(&in, COIL_AIM_ALKALINITY, 80, 120);
    in.water.total_alkalinity_mg_per_l_caco3 = 70;
    plan = planned(&in);
    ck_assert_double_eq_tol(plan.steps[0].amount, 5 * 250, 1e-9);
    /* the value after is that of five scoops, not of the amount reckoned */
    ck_assert_double_eq_tol(plan.end.value[COIL_AIM_ALKALINITY],
                            70 + 1250 / 1.6787 / 40, 0.02);
    item.measure_step = 5;
    plan = planned(&in);
    ck_assert_double_eq_tol(plan.steps[0].amount, 1345, 1e-9);
}
END_TEST

/* 50 mg/L by 1.6787 g per m3 in 40 m3 are 3357 g at once. */
START_TEST(a_large_scoop_never_passes_the_limit_of_a_dose)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item item = {7, COIL_SODIUM_BICARBONATE, 100, 50000, 1300};
    struct coil_treatment_plan plan;
    int i;

    in.shed = &item;
    in.shed_count = 1;
    want_only(&in, COIL_AIM_ALKALINITY, 180, 200);
    in.water.total_alkalinity_mg_per_l_caco3 = 50;
    plan = planned(&in);
    ck_assert_int_gt(plan.step_count, 2);
    for (i = 0; i < plan.step_count; i++) {
        ck_assert_double_le(plan.steps[i].amount, 3357);
        ck_assert_double_eq_tol(fmod(plan.steps[i].amount, 1300), 0, 1e-6);
    }
    item.measure_step = 4000; /* one such scoop is too much: weighed instead */
    plan = planned(&in);
    for (i = 0; i < plan.step_count; i++)
        ck_assert_double_le(plan.steps[i].amount, 3357 * 1.03);
}
END_TEST

START_TEST(a_shed_that_has_too_little_is_told_what_it_lacks)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item item = {7, COIL_SODIUM_BICARBONATE, 100, 500, 0};
    struct coil_treatment_plan plan;

    in.shed = &item;
    in.shed_count = 1;
    want_only(&in, COIL_AIM_ALKALINITY, 80, 120);
    in.water.total_alkalinity_mg_per_l_caco3 = 70;
    plan = planned(&in); /* 20 mg/L by 1.6787 g per m3: 1343 g */
    ck_assert_double_eq_tol(plan.steps[0].amount, 1343, 6);
    ck_assert_double_eq_tol(plan.steps[0].short_by, 1343 - 500, 6);
    ck_assert_int_eq(plan.to_buy_count, 1);
}
END_TEST

START_TEST(one_product_does_where_one_is_enough)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item shed[] = {{1, COIL_SODIUM_CARBONATE, 99, 9000, 0},
                                    {2, COIL_SODIUM_BICARBONATE, 99, 9000, 0},
                                    {3, COIL_HYDROCHLORIC_ACID, 31.45, 9000, 0}};
    struct coil_treatment_plan plan;

    in.shed = shed;
    in.shed_count = 3;
    in.water.ph = 7.1;
    in.water.total_alkalinity_mg_per_l_caco3 = 75;
    plan = planned(&in);
    ck_assert_int_eq(plan.product_count, 1);
    ck_assert_int_eq(plan.steps[0].product, COIL_SODIUM_CARBONATE);
    ck_assert_int_eq(plan.outcome[COIL_AIM_PH], COIL_AIM_REACHED);
    ck_assert_int_eq(plan.outcome[COIL_AIM_ALKALINITY], COIL_AIM_REACHED);
}
END_TEST

START_TEST(a_dose_that_no_scale_shows_is_not_proposed)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan;

    in.volume_m3 = 0.3;
    in.smallest_solid_g = 200;
    in.smallest_liquid_ml = 500;
    in.steps.ph = 0.01;
    in.water.ph = 7.63;
    plan = planned(&in);
    ck_assert_double_eq(amount_of(&plan, COIL_HYDROCHLORIC_ACID), 0);
    ck_assert_int_eq(plan.outcome[COIL_AIM_PH], COIL_AIM_TOO_SMALL);
}
END_TEST

/* Pure sulfite 1.7776 g per g of chlorine (row D21). */
START_TEST(far_too_much_chlorine_may_take_a_neutraliser_of_the_shed)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item item = {3, COIL_SODIUM_SULFITE, 100, 9000, 0};
    struct coil_treatment_plan plan;

    in.water.chlorine_mg_per_l = 23.5;
    in.water.ph = 7.5;
    plan = planned(&in);
    ck_assert_int_eq(plan.steps[0].kind, COIL_STEP_WAIT);
    ck_assert_int_eq(plan.steps[0].heater, COIL_STEP_HEATER_OFF_LINE);
    ck_assert_int_eq(plan.outcome[COIL_AIM_CHLORINE], COIL_AIM_WAITS);
    in.shed = &item;
    in.shed_count = 1;
    plan = planned(&in);
    ck_assert_int_eq(plan.steps[0].product, COIL_SODIUM_SULFITE);
    ck_assert_double_eq_tol(plan.steps[0].amount, 20 * 1.7776 * 40, 10.01);
    ck_assert(plan.steps[0].test_after);
}
END_TEST

START_TEST(stabilised_chlorine_is_not_for_a_pool_without_cyanuric_acid)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item item = {3, COIL_DICHLOR, 55, 9000, 0};
    struct coil_treatment_plan plan;

    in.shed = &item;
    in.shed_count = 1;
    in.water.chlorine_mg_per_l = 1;
    in.water.cyanuric_acid_mg_per_l = 0;
    in.wanted[COIL_AIM_CYANURIC_ACID].is_set = false;
    plan = planned(&in);
    ck_assert_double_eq(amount_of(&plan, COIL_DICHLOR), 0);
    ck_assert_double_gt(amount_of(&plan, COIL_SODIUM_HYPOCHLORITE), 0);
}
END_TEST

/* ---- what must hold for every plan ---- */

static const enum coil_product MANY[] = {
    COIL_SODIUM_HYPOCHLORITE,
    COIL_CALCIUM_HYPOCHLORITE,
    COIL_TRICHLOR,
    COIL_DICHLOR,
    COIL_HYDROCHLORIC_ACID,
    COIL_SODIUM_BISULFATE,
    COIL_SODIUM_CARBONATE,
    COIL_SODIUM_BICARBONATE,
    COIL_BORAX,
    COIL_CALCIUM_CHLORIDE,
    COIL_SODIUM_SESQUICARBONATE,
    COIL_SODIUM_THIOSULFATE,
    COIL_BROMINE_TABLETS,
    COIL_CYANURIC_ACID_PRODUCT,
};
#define MANY_COUNT ((int)(sizeof MANY / sizeof *MANY))

static int random_shed(struct random_state *random, struct coil_shed_item *shed)
{
    int count = 0, i;

    for (i = 0; i < MANY_COUNT; i++) {
        if (random_fraction(random) < 0.35)
            shed[count++] = (struct coil_shed_item){
                i + 1, MANY[i], coil_product_info(MANY[i])->strength_percent,
                random_log_between(random, 50, 20000)};
    }
    return count;
}

static struct coil_treatment_input random_input(struct random_state *random,
                                                struct coil_shed_item *shed)
{
    struct coil_treatment_input in = pool();

    in.water.ph = random_between(random, 6.6, 8.4);
    in.water.calcium_hardness_mg_per_l_caco3 = random_between(random, 30, 700);
    in.water.cyanuric_acid_mg_per_l = random_between(random, 0, 120);
    /* above what cyanurate holds alone */
    in.water.total_alkalinity_mg_per_l_caco3 =
        random_between(random, 40, 200) + 0.5 * in.water.cyanuric_acid_mg_per_l;
    in.water.chlorine_mg_per_l = random_between(random, 0, 20);
    in.water.salt_mg_per_l_nacl = random_between(random, 100, 6000);
    in.water.water_temp_c = random_between(random, 8, 34);
    in.volume_m3 = random_log_between(random, 1, 500);
    in.knows_fill = random_fraction(random) < 0.5;
    in.fill = in.water;
    in.fill.ph = 7.6;
    in.fill.total_alkalinity_mg_per_l_caco3 = random_between(random, 40, 200);
    in.fill.calcium_hardness_mg_per_l_caco3 = random_between(random, 20, 500);
    in.fill.cyanuric_acid_mg_per_l = 0;
    in.fill.chlorine_mg_per_l = 0;
    in.shed = shed;
    in.shed_count = random_shed(random, shed);
    return in;
}

/* Walks a plan again with nothing but doses and the equilibrium. */
static void walk_again(const struct coil_treatment_input *in,
                       const struct coil_treatment_plan *plan)
{
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;
    struct coil_closed_water water;
    int i;

    ck_assert_int_ge(
        coil_water_from_composition(&in->water, in->source, &k, &totals, &e, NULL), 0);
    coil_closed_from_equilibrium(&totals, &e, &water);
    for (i = 0; i < plan->step_count; i++) {
        const struct coil_treatment_step *step = &plan->steps[i];
        struct coil_dose dose;

        if (step->kind != COIL_STEP_DOSE)
            return; /* the rest is checked by the plans without such steps */
        ck_assert_int_ge(coil_dose_from_product(step->product, step->amount,
                                                step->strength_percent, in->volume_m3,
                                                &dose),
                         0);
        ck_assert_int_eq(coil_dose_apply(&water, &dose, &water), COIL_OK);
        ck_assert_int_ge(coil_closed_solve(&k, &water, &e), 0);
        ck_assert_double_eq_tol(step->after.value[COIL_AIM_PH], e.ph, 1e-6);
        ck_assert_double_eq_tol(step->after.value[COIL_AIM_ALKALINITY],
                                e.alkalinity_eq_per_kg * 50043.45, 1e-4);
        ck_assert_double_eq_tol(step->after.si_pool, e.si_calcite, 1e-5);
    }
}

static bool is_chlorine(const struct coil_treatment_step *step)
{
    return step->kind == COIL_STEP_DOSE &&
           coil_product_info(step->product)->kind == COIL_KIND_SANITISER;
}

static void check_steps(const struct coil_treatment_input *in,
                        const struct coil_treatment_plan *plan)
{
    enum coil_product chlorine = COIL_OTHER_PRODUCT;
    int i, k, last_acid = -1;

    for (i = 0; i < plan->step_count; i++) {
        const struct coil_treatment_step *step = &plan->steps[i];

        for (k = 0; k < COIL_AIM_COUNT; k++)
            ck_assert(isfinite(step->after.value[k]) && step->after.value[k] > -1e-6);
        if (i > 0)
            ck_assert_mem_eq(&step->before, &plan->steps[i - 1].after,
                             sizeof step->before);
        if (step->kind != COIL_STEP_DOSE)
            continue;
        ck_assert_double_ge(step->amount, 10 - 1e-9);
        ck_assert_double_le(step->short_by, step->amount);
        if (coil_product_info(step->product)->kind == COIL_KIND_ACID)
            last_acid = i;
        if (is_chlorine(step)) {
            ck_assert(chlorine == COIL_OTHER_PRODUCT || chlorine == step->product);
            chlorine = step->product;
            if (last_acid == i - 1 && i > 0) {
                ck_assert(step->other_place);
                ck_assert_double_ge(plan->steps[last_acid].wait_h, 4);
            }
        }
        if (step->after.value[COIL_AIM_PH] < in->heater_ph_low ||
            step->after.value[COIL_AIM_CHLORINE] > in->heater_chlorine_high_mg_per_l)
            ck_assert_int_eq(step->heater, COIL_STEP_HEATER_OFF_LINE);
    }
}

static void check_outcomes(const struct coil_treatment_input *in,
                           const struct coil_treatment_plan *plan)
{
    int k;

    for (k = 0; k < COIL_AIM_COUNT; k++) {
        enum coil_aim_outcome outcome = plan->outcome[k];
        double slack = k == COIL_AIM_PH ? 0.05 : 5;

        if ((outcome == COIL_AIM_REACHED || outcome == COIL_AIM_AFTER_REPLACE) &&
            !plan->is_cut) {
            ck_assert_double_ge(plan->end.value[k], in->wanted[k].low - slack - 0.01);
            ck_assert_double_le(plan->end.value[k], in->wanted[k].high + slack + 0.01);
        }
    }
}

START_TEST(every_plan_is_safe_and_its_numbers_are_those_of_the_equilibrium)
{
    struct random_state random = {SEED};
    int i, missed = 0;

    for (i = 0; i < 1500; i++) {
        struct coil_shed_item shed[COIL_SHED_MAX];
        struct coil_treatment_input in = random_input(&random, shed);
        struct coil_treatment_plan plan = planned(&in);

        walk_again(&in, &plan);
        check_steps(&in, &plan);
        check_outcomes(&in, &plan);
        missed += plan.outcome[COIL_AIM_PH] == COIL_AIM_NOT_REACHED;
    }
    ck_assert_int_eq(missed, 0); /* pH can always be brought back */
}
END_TEST

START_TEST(twice_the_pool_takes_twice_the_doses)
{
    struct coil_treatment_input in = pool(), big;
    struct coil_treatment_plan a, b;

    in.water.ph = 7.9;
    in.water.chlorine_mg_per_l = 0.5;
    in.smallest_liquid_ml = in.smallest_solid_g = 0.001;
    big = in;
    big.volume_m3 *= 2;
    a = planned(&in);
    b = planned(&big);
    ck_assert_int_eq(a.step_count, b.step_count);
    ck_assert_int_gt(a.step_count, 0);
    ck_assert_double_eq_tol(b.steps[0].amount, 2 * a.steps[0].amount,
                            1e-4 * b.steps[0].amount);
}
END_TEST

START_TEST(the_hot_surface_index_is_that_of_the_same_water_heated_closed)
{
    struct coil_treatment_input in = pool();
    struct coil_treatment_plan plan;
    struct coil_saturation_band band;

    in.surface_rise_k = 25;
    plan = planned(&in);
    ck_assert_int_ge(coil_saturation_band(&in.water, &in.steps, in.source, 25,
                                          COIL_SATURATION_MODEL_FILM, &band),
                     0);
    ck_assert_double_eq_tol(plan.start.si_surface, band.si_calcite, 1e-6);
    ck_assert_double_eq_tol(plan.si_surface_half_width, band.half_width, 1e-9);
    in.knows_calcium = false;
    in.wanted[COIL_AIM_CALCIUM].is_set = false;
    plan = planned(&in);
    ck_assert(isnan(plan.start.si_surface) && isnan(plan.si_pool_half_width));
}
END_TEST

/* ---- refusals ---- */

static void assert_refused(const struct coil_treatment_input *in,
                           enum coil_status status, const char *field)
{
    struct coil_treatment_plan plan, untouched;
    const char *found = "none";

    memset(&plan, 0x5a, sizeof plan);
    untouched = plan;
    ck_assert_int_eq(coil_treatment_plan(in, &plan, &found), status);
    ck_assert_str_eq(found, field);
    ck_assert_mem_eq(&plan, &untouched, sizeof plan);
    ck_assert_int_eq(coil_treatment_plan(in, &plan, NULL), status);
}

START_TEST(contradictions_are_refused_by_field)
{
    struct coil_treatment_input in = pool();

    in.wanted[COIL_AIM_PH] = (struct coil_wanted){true, 7.6, 7.4};
    assert_refused(&in, COIL_ERR_DOMAIN, "wanted.ph");
    in = pool();
    in.wanted[COIL_AIM_CALCIUM].high = NAN;
    assert_refused(&in, COIL_ERR_NOT_FINITE, "wanted.calcium_hardness_mg_per_l_caco3");
    in = pool();
    in.volume_m3 = 0;
    assert_refused(&in, COIL_ERR_DOMAIN, "volume_m3");
    in = pool();
    in.water.ph = NAN;
    assert_refused(&in, COIL_ERR_NOT_FINITE, "ph");
    in = pool();
    in.water.cyanuric_acid_mg_per_l = 300; /* holds more alkalinity than is there */
    in.water.total_alkalinity_mg_per_l_caco3 = 20;
    in.water.ph = 8.2;
    assert_refused(&in, COIL_ERR_NO_SOLUTION, "total_alkalinity_mg_per_l_caco3");
    in = pool();
    in.water.water_temp_c = 40;
    in.surface_rise_k = 35;
    assert_refused(&in, COIL_ERR_DOMAIN, "surface_rise_k");
}
END_TEST

START_TEST(a_bad_shed_is_refused_by_field)
{
    struct coil_treatment_input in = pool();
    struct coil_shed_item item = {1, COIL_SODIUM_CARBONATE, 120, 100, 0};

    in.shed = &item;
    in.shed_count = 1;
    assert_refused(&in, COIL_ERR_DOMAIN, "shed.strength_percent");
    item.strength_percent = 99;
    item.amount_left = -1;
    assert_refused(&in, COIL_ERR_DOMAIN, "shed.amount_left");
    item.amount_left = 1;
    item.product = (enum coil_product)77;
    assert_refused(&in, COIL_ERR_UNKNOWN, "shed.product");
    in.shed_count = COIL_SHED_MAX + 1;
    assert_refused(&in, COIL_ERR_DOMAIN, "shed");
}
END_TEST

START_TEST(every_aim_knows_its_quantity)
{
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++)
        ck_assert_int_eq(coil_aim_from_quantity(coil_aim_quantity((enum coil_aim)i)),
                         i);
    ck_assert_int_eq(coil_aim_from_quantity(COIL_IRON), COIL_AIM_COUNT);
    ck_assert_int_eq(coil_aim_quantity(COIL_AIM_COUNT), COIL_QUANTITY_COUNT);
}
END_TEST

#include "tests/support/suite.h"

int main(void)
{
    TCase *tcase = tcase_create("treatment");

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, water_inside_all_ranges_needs_nothing);
    tcase_add_test(tcase, single_doses_are_those_of_the_published_rules);
    tcase_add_test(tcase, high_alkalinity_takes_the_published_amount_of_acid_in_parts);
    tcase_add_test(tcase, cyanuric_acid_comes_down_by_replacing_water);
    tcase_add_test(
        tcase,
        without_the_fill_waters_values_the_least_part_is_told_and_the_rest_planned);
    tcase_add_test(tcase, fill_water_that_has_too_much_itself_is_said_to_be_no_help);
    tcase_add_test(tcase, what_is_in_the_shed_comes_before_what_must_be_bought);
    tcase_add_test(tcase, amounts_come_in_what_the_scoop_or_scale_can_measure);
    tcase_add_test(tcase, a_large_scoop_never_passes_the_limit_of_a_dose);
    tcase_add_test(tcase, a_shed_that_has_too_little_is_told_what_it_lacks);
    tcase_add_test(tcase, one_product_does_where_one_is_enough);
    tcase_add_test(tcase, a_dose_that_no_scale_shows_is_not_proposed);
    tcase_add_test(tcase, far_too_much_chlorine_may_take_a_neutraliser_of_the_shed);
    tcase_add_test(tcase, stabilised_chlorine_is_not_for_a_pool_without_cyanuric_acid);
    tcase_add_test(tcase,
                   every_plan_is_safe_and_its_numbers_are_those_of_the_equilibrium);
    tcase_add_test(tcase, twice_the_pool_takes_twice_the_doses);
    tcase_add_test(tcase,
                   the_hot_surface_index_is_that_of_the_same_water_heated_closed);
    tcase_add_test(tcase, contradictions_are_refused_by_field);
    tcase_add_test(tcase, a_bad_shed_is_refused_by_field);
    tcase_add_test(tcase, every_aim_knows_its_quantity);
    return suite_run("treatment", tcase);
}
