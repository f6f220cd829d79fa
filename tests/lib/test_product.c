/*
 * Products and the chlorine they bring.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/product.h"

#define POUND_G 453.59237
#define OUNCE_G 28.349523125
#define US_GALLON_ML 3785.411784
#define TEN_THOUSAND_GALLONS_M3 37.85411784

static double rise(enum coil_product product, double amount, double strength_percent,
                   double volume_m3)
{
    double mg_per_l = NAN;

    ck_assert_int_eq(coil_product_chlorine_rise(product, amount, strength_percent,
                                                volume_m3, &mg_per_l),
                     COIL_OK);
    return mg_per_l;
}

START_TEST(product_numbers_are_those_in_databases)
{
    ck_assert_int_eq(COIL_SODIUM_HYPOCHLORITE, 1);
    ck_assert_int_eq(COIL_TRICHLOR, 4);
    ck_assert_int_eq(COIL_HYDROCHLORIC_ACID, 9);
    ck_assert_int_eq(COIL_SODIUM_SULFITE, 22);
    ck_assert_int_eq(COIL_OTHER_PRODUCT, 99);
}
END_TEST

START_TEST(product_list_leads_from_number_and_key_to_the_same_entry)
{
    const struct coil_product_info *info;
    enum coil_product found;
    int count;

    for (count = 0; (info = coil_product_at(count)) != NULL; count++) {
        ck_assert_ptr_eq(coil_product_info(info->product), info);
        ck_assert_int_eq(coil_product_from_key(info->key, &found), COIL_OK);
        ck_assert_int_eq(found, info->product);
        ck_assert_uint_gt(strlen(info->words), 0);
        ck_assert(info->strength_percent >= 0 && info->strength_percent <= 100);
    }
    ck_assert_int_eq(count, 23);
    ck_assert_ptr_null(coil_product_at(-1));
}
END_TEST

START_TEST(product_of_a_foreign_number_or_key_is_not_found)
{
    enum coil_product found = COIL_BORAX;

    ck_assert_ptr_null(coil_product_info((enum coil_product)0));
    ck_assert_ptr_null(coil_product_info((enum coil_product)1000));
    ck_assert_int_eq(coil_product_from_key("trichlor ", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_product_from_key("", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_product_from_key(NULL, &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(found, COIL_BORAX);
}
END_TEST

START_TEST(product_kinds_are_those_of_their_active_substance)
{
    ck_assert_int_eq(coil_product_info(COIL_SODIUM_HYPOCHLORITE)->is_liquid, 1);
    ck_assert_int_eq(coil_product_info(COIL_HYDROCHLORIC_ACID)->is_liquid, 1);
    ck_assert_int_eq(coil_product_info(COIL_TRICHLOR)->is_liquid, 0);
    ck_assert_int_eq(coil_product_info(COIL_TRICHLOR)->is_chlorine, 1);
    ck_assert_int_eq(coil_product_info(COIL_CHLORINE_GAS)->is_chlorine, 1);
    ck_assert_int_eq(coil_product_info(COIL_BROMINE_TABLETS)->kind,
                     COIL_KIND_SANITISER);
    ck_assert_int_eq(coil_product_info(COIL_BROMINE_TABLETS)->is_chlorine, 0);
    ck_assert_int_eq(coil_product_info(COIL_MONOPERSULFATE)->is_chlorine, 0);
    ck_assert_int_eq(coil_product_info(COIL_CARBON_DIOXIDE)->kind, COIL_KIND_ACID);
    ck_assert_int_eq(coil_product_info(COIL_SODIUM_CHLORIDE)->kind, COIL_KIND_OTHER);
}
END_TEST

/* Definition of trade percent, g available chlorine per 100 mL [white-1972]. */
START_TEST(a_gallon_of_trade_hypochlorite_in_ten_thousand_brings_its_percent)
{
    ck_assert_double_eq_tol(
        rise(COIL_SODIUM_HYPOCHLORITE, US_GALLON_ML, 12.5, TEN_THOUSAND_GALLONS_M3),
        12.5, 1e-12);
    ck_assert_double_eq_tol(
        rise(COIL_SODIUM_HYPOCHLORITE, US_GALLON_ML, 10, TEN_THOUSAND_GALLONS_M3), 10,
        1e-12);
}
END_TEST

/* Stoichiometry: 2.054 oz of 65 % calcium hypochlorite per mg/L in 10,000 US gallons,
 * half of the last digit of 2.054; the trade says 2 oz. */
START_TEST(ounces_of_calcium_hypochlorite_bring_one_mg_per_l)
{
    ck_assert_double_eq_tol(
        rise(COIL_CALCIUM_HYPOCHLORITE, 2.054 * OUNCE_G, 65, TEN_THOUSAND_GALLONS_M3),
        1.0, 0.0005 / 2.054);
}
END_TEST

/* 1 g of chlorine in 1 m3 is 1 mg/L, 1 L counted as 1 kg. */
START_TEST(a_gram_of_chlorine_gas_in_a_cubic_metre_is_one_mg_per_l)
{
    ck_assert_double_eq_tol(rise(COIL_CHLORINE_GAS, 1, 100, 1), 1, 1e-15);
    ck_assert_double_eq_tol(rise(COIL_TRICHLOR, POUND_G, 90, 50), POUND_G * 0.9 / 50,
                            1e-12);
}
END_TEST

START_TEST(chlorine_rise_scales_with_amount_strength_and_volume)
{
    double once = rise(COIL_DICHLOR, 200, 27.5, 40);

    ck_assert_double_eq_tol(rise(COIL_DICHLOR, 400, 27.5, 40), 2 * once, 1e-12);
    ck_assert_double_eq_tol(rise(COIL_DICHLOR, 200, 55, 40), 2 * once, 1e-12);
    ck_assert_double_eq_tol(rise(COIL_DICHLOR, 200, 27.5, 20), 2 * once, 1e-12);
    ck_assert_double_eq_tol(rise(COIL_DICHLOR, 0.002, 27.5, 0.4), 0.001 * once, 1e-15);
    ck_assert_double_eq_tol(rise(COIL_DICHLOR, 200, 0.275, 40), 0.01 * once, 1e-14);
    ck_assert_double_eq(rise(COIL_DICHLOR, 0, 27.5, 20), 0);
}
END_TEST

START_TEST(products_without_chlorine_bring_none)
{
    ck_assert_double_eq(rise(COIL_SODIUM_BICARBONATE, 5000, 99, 40), 0);
    ck_assert_double_eq(rise(COIL_BROMINE_TABLETS, 500, 61, 40), 0);
    ck_assert_double_eq(rise(COIL_OTHER_PRODUCT, 500, 50, 40), 0);
}
END_TEST

START_TEST(chlorine_rise_refuses_what_has_no_meaning)
{
    const enum coil_product trichlor = COIL_TRICHLOR;
    double out = 5;

    ck_assert_int_eq(coil_product_chlorine_rise((enum coil_product)0, 1, 1, 1, &out),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, NAN, 90, 40, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1, NAN, 40, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1, 90, INFINITY, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, -1, 90, 40, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1, 0, 40, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1, 100.5, 40, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1, 90, 0, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, -1e-9, 90, 40, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 0, 90, 0, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(COIL_BORAX, 1, 90, 0, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1, 90, -1e-9, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(trichlor, 1e10, 90, 1e-300, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_product_chlorine_rise(COIL_BORAX, -1, 90, 40, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_double_eq(out, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("product");
    TCase *tcase = tcase_create("product");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, product_numbers_are_those_in_databases);
    tcase_add_test(tcase, product_list_leads_from_number_and_key_to_the_same_entry);
    tcase_add_test(tcase, product_of_a_foreign_number_or_key_is_not_found);
    tcase_add_test(tcase, product_kinds_are_those_of_their_active_substance);
    tcase_add_test(tcase,
                   a_gallon_of_trade_hypochlorite_in_ten_thousand_brings_its_percent);
    tcase_add_test(tcase, ounces_of_calcium_hypochlorite_bring_one_mg_per_l);
    tcase_add_test(tcase, a_gram_of_chlorine_gas_in_a_cubic_metre_is_one_mg_per_l);
    tcase_add_test(tcase, chlorine_rise_scales_with_amount_strength_and_volume);
    tcase_add_test(tcase, products_without_chlorine_bring_none);
    tcase_add_test(tcase, chlorine_rise_refuses_what_has_no_meaning);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
