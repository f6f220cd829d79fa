/*
 * Doses: what must hold for every one, published amounts, refusals.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/composition.h"
#include "lib/dose_product.h"
#include "tests/support/random_water.h"

#define SEED UINT64_C(1970010100000004)
#define WAHMAN COIL_CYANURATE_WAHMAN_2019
#define CONSERVED 1e-9
#define POUND_G 453.59237
#define TEN_THOUSAND_GALLONS_M3 37.85411784
#define AIR_ATM 427e-6

static void random_closed(struct random_state *random, struct coil_constants *k,
                          struct coil_closed_water *out)
{
    struct random_water w;
    struct coil_equilibrium e;

    random_water_pool(random, &w);
    ck_assert_int_eq(coil_constants_at(w.temp_c, WAHMAN, k), COIL_OK);
    ck_assert_int_ge(coil_equilibrium_solve(k, &w.totals, COIL_GIVEN_PH_DIC, w.ph,
                                            w.dic_mol_per_kg, &e),
                     0);
    coil_closed_from_equilibrium(&w.totals, &e, out);
}

static struct coil_equilibrium solved(const struct coil_constants *k,
                                      const struct coil_closed_water *water)
{
    struct coil_equilibrium e;

    ck_assert_int_ge(coil_closed_solve(k, water, &e), 0);
    return e;
}

/* Charge that the totals leave for the ions of the alkalinity. */
static double charge_of(const struct coil_closed_water *w)
{
    const struct coil_totals *t = &w->totals;

    return t->sodium_mol_per_kg +
           2 * (t->calcium_mol_per_kg + t->magnesium_mol_per_kg) -
           t->chloride_mol_per_kg - 2 * t->sulfate_mol_per_kg - w->alkalinity_eq_per_kg;
}

/* A reagent is neutral: the ions it brings leave no charge but the alkalinity's. */
START_TEST(every_reagent_keeps_the_charge)
{
    struct random_state random = {SEED};
    struct coil_constants k;
    struct coil_closed_water water, dosed;
    int reagent;

    random_closed(&random, &k, &water);
    water.totals.chlorine_mol_per_kg = 0.01;
    for (reagent = 0; reagent < COIL_REAGENT_COUNT; reagent++) {
        ck_assert_int_eq(
            coil_dose_add(&water, (enum coil_reagent)reagent, 1e-4, &dosed), COIL_OK);
        ck_assert_msg(fabs(charge_of(&dosed) - charge_of(&water)) <= 1e-15,
                      "%s brings a charge of %g per mol",
                      coil_reagent_key((enum coil_reagent)reagent),
                      (charge_of(&dosed) - charge_of(&water)) / 1e-4);
    }
}
END_TEST

static void assert_same_water(const struct coil_closed_water *a,
                              const struct coil_closed_water *b)
{
    const double *x = (const double *)&a->totals, *y = (const double *)&b->totals;
    size_t i;

    for (i = 0; i < sizeof a->totals / sizeof *x; i++)
        ck_assert_double_eq_tol(x[i], y[i], CONSERVED * fabs(y[i]) + 1e-18);
    ck_assert_double_eq_tol(a->alkalinity_eq_per_kg, b->alkalinity_eq_per_kg,
                            CONSERVED * fabs(b->alkalinity_eq_per_kg));
    ck_assert_double_eq_tol(a->dic_mol_per_kg, b->dic_mol_per_kg,
                            CONSERVED * b->dic_mol_per_kg);
}

START_TEST(what_was_dosed_is_found_in_the_solved_water)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 3000; i++) {
        enum coil_reagent reagent = (enum coil_reagent)(i % COIL_REAGENT_COUNT);
        struct coil_constants k;
        struct coil_closed_water water, dosed;
        struct coil_equilibrium e;

        random_closed(&random, &k, &water);
        if (coil_dose_add(&water, reagent, random_log_between(&random, 1e-7, 1e-3),
                          &dosed) != COIL_OK)
            continue; /* more neutraliser than chlorine */
        e = solved(&k, &dosed);
        ck_assert_double_eq_tol(e.dic_mol_per_kg, dosed.dic_mol_per_kg,
                                CONSERVED * dosed.dic_mol_per_kg);
        ck_assert_double_eq_tol(e.alkalinity_eq_per_kg, dosed.alkalinity_eq_per_kg,
                                CONSERVED * (fabs(dosed.alkalinity_eq_per_kg) + 1e-3));
        ck_assert_double_eq_tol(e.ca_mol_per_kg + e.cahco3_mol_per_kg +
                                    e.caco3_mol_per_kg + e.caso4_mol_per_kg,
                                dosed.totals.calcium_mol_per_kg,
                                CONSERVED * dosed.totals.calcium_mol_per_kg);
    }
}
END_TEST

START_TEST(dose_and_its_opposite_return)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 3000; i++) {
        enum coil_reagent reagent = (enum coil_reagent)(i % COIL_REAGENT_COUNT);
        double mol = random_log_between(&random, 1e-7, 1e-3);
        struct coil_constants k;
        struct coil_closed_water water, dosed, back;

        random_closed(&random, &k, &water);
        if (coil_dose_add(&water, reagent, mol, &dosed) != COIL_OK)
            continue;
        ck_assert_int_eq(coil_dose_take(&dosed, reagent, mol, &back), COIL_OK);
        assert_same_water(&back, &water);
        ck_assert_double_eq_tol(solved(&k, &back).ph, solved(&k, &water).ph, 1e-8);
    }
}
END_TEST

START_TEST(two_half_doses_are_one)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 3000; i++) {
        enum coil_reagent reagent = (enum coil_reagent)(i % COIL_REAGENT_COUNT);
        double mol = random_log_between(&random, 1e-7, 1e-3);
        struct coil_constants k;
        struct coil_closed_water water, once, twice;

        random_closed(&random, &k, &water);
        if (coil_dose_add(&water, reagent, mol, &once) != COIL_OK)
            continue;
        ck_assert_int_eq(coil_dose_add(&water, reagent, mol / 2, &twice), COIL_OK);
        ck_assert_int_eq(coil_dose_add(&twice, reagent, mol / 2, &twice), COIL_OK);
        assert_same_water(&twice, &once);
        ck_assert_double_eq_tol(solved(&k, &twice).ph, solved(&k, &once).ph, 1e-8);
    }
}
END_TEST

START_TEST(acid_never_raises_ph_and_base_never_lowers_it)
{
    static const enum coil_reagent acids[] = {COIL_REAGENT_HCL, COIL_REAGENT_NAHSO4,
                                              COIL_REAGENT_CO2};
    static const enum coil_reagent bases[] = {COIL_REAGENT_NAOH, COIL_REAGENT_NA2CO3};
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 3000; i++) {
        double mol = random_log_between(&random, 1e-7, 3e-3);
        struct coil_constants k;
        struct coil_closed_water water, dosed;
        double before;

        random_closed(&random, &k, &water);
        before = solved(&k, &water).ph;
        ck_assert_int_eq(coil_dose_add(&water, acids[i % 3], mol, &dosed), COIL_OK);
        ck_assert_double_lt(solved(&k, &dosed).ph, before);
        ck_assert_int_eq(coil_dose_add(&water, bases[i % 2], mol, &dosed), COIL_OK);
        ck_assert_double_gt(solved(&k, &dosed).ph, before);
    }
}
END_TEST

/* Hypochlorite's alkalinity is gone once the chlorine is; trichlor's acid then shows.
 */
START_TEST(spent_chlorine_takes_its_alkalinity)
{
    struct random_state random = {SEED};
    struct coil_constants k;
    struct coil_closed_water water, dosed, spent;

    random_closed(&random, &k, &water);
    water.totals.chlorine_mol_per_kg = 0;
    ck_assert_int_eq(coil_dose_add(&water, COIL_REAGENT_NAOCL, 1e-4, &dosed), COIL_OK);
    ck_assert_double_eq_tol(dosed.alkalinity_eq_per_kg - water.alkalinity_eq_per_kg,
                            1e-4, 1e-15);
    ck_assert_int_eq(coil_chlorine_spend(&dosed, 1, &spent), COIL_OK);
    ck_assert_double_eq_tol(spent.alkalinity_eq_per_kg, water.alkalinity_eq_per_kg,
                            1e-15);
    ck_assert_double_eq(spent.totals.chlorine_mol_per_kg, 0);
    ck_assert_int_eq(coil_dose_add(&water, COIL_REAGENT_TRICHLOR, 1e-4, &dosed),
                     COIL_OK);
    ck_assert_int_eq(coil_chlorine_spend(&dosed, 1, &spent), COIL_OK);
    ck_assert_double_eq_tol(spent.alkalinity_eq_per_kg - water.alkalinity_eq_per_kg,
                            -3e-4, 1e-15);
    ck_assert_int_eq(coil_chlorine_spend(&dosed, 1.1, &spent), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_chlorine_spend(&dosed, NAN, &spent), COIL_ERR_NOT_FINITE);
}
END_TEST

START_TEST(effect_tells_the_water_now_and_later)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 200; i++) {
        struct coil_constants k;
        struct coil_closed_water water;
        struct coil_dose_effect effect;

        random_closed(&random, &k, &water);
        ck_assert_int_ge(
            coil_dose_effect(&k, &water, COIL_REAGENT_NAOCL, 5e-5, AIR_ATM, &effect),
            0);
        ck_assert_double_gt(effect.at_once.ph, effect.before.ph);
        ck_assert_double_lt(effect.spent.ph, effect.at_once.ph);
        ck_assert_double_eq_tol(effect.aired.pco2_atm, AIR_ATM, 1e-9);
        ck_assert_double_eq(effect.spent.hocl_mol_per_kg, 0);
    }
}
END_TEST

START_TEST(outgassing_raises_ph_and_keeps_alkalinity)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 500; i++) {
        struct coil_constants k;
        struct coil_closed_water water, left;
        struct coil_equilibrium before, some, all, open;

        random_closed(&random, &k, &water);
        before = solved(&k, &water);
        ck_assert_int_ge(coil_outgas_share(&k, &water, 0.4, &left, &some), 0);
        ck_assert_double_eq_tol(left.dic_mol_per_kg,
                                water.dic_mol_per_kg - 0.4 * before.co2_mol_per_kg,
                                1e-15);
        ck_assert_int_ge(coil_outgas_share(&k, &water, 1, NULL, &all), 0);
        ck_assert_double_gt(some.ph, before.ph);
        ck_assert_double_gt(all.ph, some.ph);
        ck_assert_double_eq_tol(all.alkalinity_eq_per_kg, water.alkalinity_eq_per_kg,
                                CONSERVED * water.alkalinity_eq_per_kg);
        ck_assert_int_ge(
            coil_outgas_to_pressure(&k, &water, before.pco2_atm, &left, &open), 0);
        ck_assert_double_eq_tol(open.ph, before.ph, 1e-7);
        assert_same_water(&left, &water);
        ck_assert_int_eq(coil_outgas_share(&k, &water, 1.5, NULL, &all),
                         COIL_ERR_DOMAIN);
        ck_assert_int_lt(coil_outgas_to_pressure(&k, &water, -1, NULL, &all), 0);
    }
}
END_TEST

START_TEST(mixing_is_between_its_waters)
{
    struct random_state random = {SEED};
    struct coil_constants k, other;
    struct coil_closed_water a, b, half, none, all;

    random_closed(&random, &k, &a);
    random_closed(&random, &other, &b);
    ck_assert_int_eq(coil_water_mix(&a, &b, 0, &none), COIL_OK);
    assert_same_water(&none, &a);
    ck_assert_int_eq(coil_water_mix(&a, &b, 1, &all), COIL_OK);
    assert_same_water(&all, &b);
    ck_assert_int_eq(coil_water_mix(&a, &b, 0.5, &half), COIL_OK);
    ck_assert_double_eq_tol(half.alkalinity_eq_per_kg,
                            (a.alkalinity_eq_per_kg + b.alkalinity_eq_per_kg) / 2,
                            1e-15);
    ck_assert_double_eq_tol(
        half.totals.cyanurate_mol_per_kg,
        (a.totals.cyanurate_mol_per_kg + b.totals.cyanurate_mol_per_kg) / 2, 1e-15);
    ck_assert_int_eq(coil_water_mix(&a, &b, -0.1, &half), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_water_mix(&a, &b, NAN, &half), COIL_ERR_NOT_FINITE);
}
END_TEST

static double first_mol(enum coil_product product, double amount, double strength,
                        double volume_m3)
{
    struct coil_dose dose;

    ck_assert_int_ge(
        coil_dose_from_product(product, amount, strength, volume_m3, &dose), 0);
    return dose.parts[0].mol_per_kg;
}

/* Into 10,000 US gallons: 1.40 lb bicarbonate raises alkalinity by 10; 1.226 lb calcium
 * chloride dihydrate hardness by 10; 25.6 fl oz of 31.45 % acid lower alkalinity by 10;
 * a gallon of 12.5 % hypochlorite is 12.5 mg/L; 2.05 oz of 65 % calcium hypochlorite 1
 * mg/L (stoichiometry and trade rules). */
START_TEST(trade_doses_do_what_their_rules_say)
{
    const double v = TEN_THOUSAND_GALLONS_M3;

    ck_assert_double_eq_tol(first_mol(COIL_SODIUM_BICARBONATE, 1.40 * POUND_G, 100, v) *
                                COIL_CACO3_G_PER_EQ * 1000,
                            10, 0.03);
    ck_assert_double_eq_tol(
        first_mol(COIL_CALCIUM_CHLORIDE, 1.226 * POUND_G, 75.49, v) *
            COIL_CACO3_G_PER_MOL * 1000,
        10, 0.02);
    ck_assert_double_eq_tol(
        first_mol(COIL_HYDROCHLORIC_ACID, 25.6 * 29.5735, 31.45, v) *
            COIL_CACO3_G_PER_EQ * 1000,
        10, 0.03);
    ck_assert_double_eq_tol(first_mol(COIL_SODIUM_HYPOCHLORITE, 3785.411784, 12.5, v) *
                                COIL_CHLORINE_G_PER_MOL * 1000,
                            12.5, 1e-9);
    ck_assert_double_eq_tol(
        2 * first_mol(COIL_CALCIUM_HYPOCHLORITE, 2.05 * POUND_G / 16, 65, v) *
            COIL_CHLORINE_G_PER_MOL * 1000,
        1, 0.003);
}
END_TEST

/* Molar masses: 91.5, 55.4, 95.3, 99.2 % available chlorine; sulfite 1.778 mg per mg.
 */
START_TEST(pure_products_have_their_available_chlorine)
{
    ck_assert_double_eq_tol(coil_product_pure_chlorine_percent(COIL_TRICHLOR), 91.5,
                            0.1);
    ck_assert_double_eq_tol(coil_product_pure_chlorine_percent(COIL_DICHLOR), 55.4,
                            0.1);
    ck_assert_double_eq_tol(
        coil_product_pure_chlorine_percent(COIL_SODIUM_HYPOCHLORITE), 95.3, 0.1);
    ck_assert_double_eq_tol(
        coil_product_pure_chlorine_percent(COIL_CALCIUM_HYPOCHLORITE), 99.2, 0.1);
    ck_assert_double_eq(coil_product_pure_chlorine_percent(COIL_BORAX), 0);
    ck_assert_double_eq_tol(coil_reagent_g_per_mol(COIL_REAGENT_NA2SO3) /
                                COIL_CHLORINE_G_PER_MOL,
                            1.778, 0.005);
}
END_TEST

/* Trade acid: 145/(145 - 20) = 1.160 at 31.45 %; 22 degrees are 35.21 % (from memory).
 */
START_TEST(hydrochloric_acid_by_degrees_baume)
{
    double percent = NAN;

    ck_assert_double_eq_tol(coil_hydrochloric_density(31.45), 1.160, 1e-12);
    ck_assert_int_eq(coil_hydrochloric_percent(20, &percent), COIL_OK);
    ck_assert_double_eq_tol(percent, 31.45, 1e-9);
    ck_assert_int_eq(coil_hydrochloric_percent(22, &percent), COIL_OK);
    ck_assert_double_eq_tol(percent, 35.21, 0.1);
    ck_assert_int_eq(coil_hydrochloric_percent(26, &percent), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_hydrochloric_percent(NAN, &percent), COIL_ERR_NOT_FINITE);
}
END_TEST

START_TEST(products_that_make_no_dose_are_refused)
{
    struct coil_dose dose;

    ck_assert_int_eq(coil_dose_from_product(COIL_TRICHLOR, -1, 90, 50, &dose),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_dose_from_product(COIL_TRICHLOR, 100, 0, 50, &dose),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_dose_from_product(COIL_TRICHLOR, 100, 101, 50, &dose),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_dose_from_product(COIL_TRICHLOR, 100, 90, 0, &dose),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_dose_from_product(COIL_TRICHLOR, NAN, 90, 50, &dose),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_dose_from_product(COIL_OTHER_PRODUCT, 1, 90, 50, &dose),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_dose_from_product((enum coil_product)77, 1, 90, 50, &dose),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_dose_from_product(COIL_DICHLOR, 1, 56, 50, &dose),
                     COIL_WARN_RANGE);
}
END_TEST

START_TEST(doses_that_are_none_are_refused)
{
    struct random_state random = {SEED};
    struct coil_constants k;
    struct coil_closed_water water, out;

    random_closed(&random, &k, &water);
    out = water;
    ck_assert_int_eq(coil_dose_add(&water, COIL_REAGENT_HCL, -1e-4, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_dose_add(&water, COIL_REAGENT_HCL, NAN, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_dose_add(&water, (enum coil_reagent)99, 1e-4, &out),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_dose_add(&water, COIL_REAGENT_NA2SO3, 1, &out),
                     COIL_ERR_NO_SOLUTION);
    ck_assert_int_eq(coil_dose_take(&water, COIL_REAGENT_CACL2, 1, &out),
                     COIL_ERR_NO_SOLUTION);
    ck_assert_mem_eq(&out, &water, sizeof out);
    ck_assert_ptr_null(coil_reagent_key((enum coil_reagent)99));
}
END_TEST

START_TEST(product_doses_apply_and_undo)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; coil_product_at(i) != NULL; i++) {
        const struct coil_product_info *info = coil_product_at(i);
        double strength = info->strength_percent > 0 ? info->strength_percent : 50;
        struct coil_constants k;
        struct coil_closed_water water, dosed, back;
        struct coil_dose dose;

        random_closed(&random, &k, &water);
        water.totals.chlorine_mol_per_kg = 0.001;
        if (coil_dose_from_product(info->product, 500, strength, 50, &dose) < 0)
            continue;
        ck_assert_int_eq(coil_dose_apply(&water, &dose, &dosed), COIL_OK);
        ck_assert_int_eq(coil_dose_undo(&dosed, &dose, &back), COIL_OK);
        assert_same_water(&back, &water);
        ck_assert(isfinite(solved(&k, &dosed).ph));
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("dose");
    TCase *tcase = tcase_create("dose");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, every_reagent_keeps_the_charge);
    tcase_add_test(tcase, what_was_dosed_is_found_in_the_solved_water);
    tcase_add_test(tcase, dose_and_its_opposite_return);
    tcase_add_test(tcase, two_half_doses_are_one);
    tcase_add_test(tcase, acid_never_raises_ph_and_base_never_lowers_it);
    tcase_add_test(tcase, spent_chlorine_takes_its_alkalinity);
    tcase_add_test(tcase, effect_tells_the_water_now_and_later);
    tcase_add_test(tcase, outgassing_raises_ph_and_keeps_alkalinity);
    tcase_add_test(tcase, mixing_is_between_its_waters);
    tcase_add_test(tcase, trade_doses_do_what_their_rules_say);
    tcase_add_test(tcase, pure_products_have_their_available_chlorine);
    tcase_add_test(tcase, hydrochloric_acid_by_degrees_baume);
    tcase_add_test(tcase, products_that_make_no_dose_are_refused);
    tcase_add_test(tcase, doses_that_are_none_are_refused);
    tcase_add_test(tcase, product_doses_apply_and_undo);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
