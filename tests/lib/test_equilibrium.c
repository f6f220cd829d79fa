/*
 * The water engine: constants, balances, slopes, convergence, refusals.
 *
 * Values against other programs stand in the tables; here are published constants, what
 * must hold for every water, and what must be refused.
 */
#include <check.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "lib/composition.h"
#include "lib/film.h"
#include "lib/speciation.h"
#include "tests/support/random_water.h"

#define SEED UINT64_C(1970010100000001)
#define WAHMAN COIL_CYANURATE_WAHMAN_2019

static struct coil_constants constants_at(double temp_c)
{
    struct coil_constants k;

    ck_assert_int_eq(coil_constants_at(temp_c, WAHMAN, &k), COIL_OK);
    return k;
}

/* Published formulas at round temperatures (Plummer & Busenberg 1982, Nordstrom 1990).
 */
START_TEST(constants_are_the_published_ones)
{
    struct coil_constants k20 = constants_at(20), k25 = constants_at(25);
    struct coil_constants k28 = constants_at(28), k60 = constants_at(60);

    ck_assert_double_eq_tol(-log10(k25.k_2), 10.3289, 0.0002);
    ck_assert_double_eq_tol(-log10(k25.k_calcite), 8.4798, 0.0002);
    ck_assert_double_eq_tol(-log10(k60.k_calcite), 8.7588, 0.0002);
    ck_assert_double_eq_tol(-log10(k25.k_1), 6.3519, 0.0002);
    ck_assert_double_eq_tol(-log10(k25.k_w), 13.9995, 0.0005);
    ck_assert_double_eq_tol(-log10(k28.k_w), 13.9025, 0.0005);
    ck_assert_double_eq_tol(log10(k20.k_calcite / k20.k_2), 1.922, 0.001);
    ck_assert_double_eq_tol(coil_co2_solubility_weiss(25), 0.03397, 0.00003);
    ck_assert_double_eq_tol(k25.k_henry, 0.03405, 0.00003);
}
END_TEST

/* log10 K at 5, 25, 45, 65 degC as the same formulas gave another program. */
START_TEST(constants_keep_their_course_over_temperature)
{
    static const double temps[] = {5, 25, 45, 65};
    static const double k1[] = {-6.5163, -6.3519, -6.2894, -6.2978};
    static const double k2[] = {-10.5544, -10.3289, -10.1958, -10.1342};
    static const double henry[] = {-1.1921, -1.4679, -1.6696, -1.8164};
    static const double cahco3[] = {0.9007, 1.1057, 1.1942, 1.2391};
    static const double water[] = {-14.7322, -13.9995, -13.4058, -12.9195};
    int i;

    for (i = 0; i < 4; i++) {
        struct coil_constants k = constants_at(temps[i]);

        ck_assert_double_eq_tol(log10(k.k_1), k1[i], 0.0001);
        ck_assert_double_eq_tol(log10(k.k_2), k2[i], 0.0001);
        ck_assert_double_eq_tol(log10(k.k_henry), henry[i], 0.0001);
        ck_assert_double_eq_tol(log10(k.k_cahco3), cahco3[i], 0.0001);
        ck_assert_double_eq_tol(log10(k.k_w), water[i], 0.0001);
    }
}
END_TEST

/* Slopes by an older dielectric formula (WATEQ4F's); two of them lie 0.0007 apart. */
START_TEST(activity_slopes_are_those_of_water)
{
    static const double temps[] = {5, 25, 45, 65};
    static const double a[] = {0.4942, 0.5094, 0.5287, 0.5520};
    static const double b[] = {0.3254, 0.3284, 0.3317, 0.3354};
    int i;

    for (i = 0; i < 4; i++) {
        struct coil_constants k = constants_at(temps[i]);

        ck_assert_double_eq_tol(k.debye_a / log(10), a[i], 0.0008);
        ck_assert_double_eq_tol(k.debye_b, b[i], 0.0002);
    }
}
END_TEST

/* Solved from pH and carbon, which every water has. */
static enum coil_status solve_random(const struct random_water *w,
                                     struct coil_constants *k,
                                     struct coil_equilibrium *e)
{
    *k = constants_at(w->temp_c);
    return coil_equilibrium_solve(k, &w->totals, COIL_GIVEN_PH_DIC, w->ph,
                                  w->dic_mol_per_kg, e);
}

static double cyanurate_sum(const struct coil_equilibrium *e, int chlorine)
{
    double sum = 0;
    int form;

    for (form = 0; form < COIL_CYANURATE_FORM_COUNT; form++)
        sum +=
            e->cyanurate_mol_per_kg[form] *
            (chlorine ? coil_cyanurate_chlorines((enum coil_cyanurate_form)form) : 1);
    return sum;
}

static void assert_relative(double got, double expected, double within)
{
    ck_assert_double_eq_tol(got, expected, within * fabs(expected) + 1e-300);
}

START_TEST(species_sum_to_the_totals)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 2000; i++) {
        struct coil_constants k;
        struct coil_equilibrium e;
        struct random_water w;
        const struct coil_totals *t = &w.totals;

        random_water_any(&random, &w);
        ck_assert_int_ge(solve_random(&w, &k, &e), 0);
        assert_relative(e.ca_mol_per_kg + e.cahco3_mol_per_kg + e.caco3_mol_per_kg +
                            e.caso4_mol_per_kg,
                        t->calcium_mol_per_kg, 1e-12);
        assert_relative(e.na_mol_per_kg + e.nahco3_mol_per_kg + e.naco3_mol_per_kg +
                            e.naso4_mol_per_kg,
                        t->sodium_mol_per_kg, 1e-12);
        assert_relative(e.mg_mol_per_kg + e.mghco3_mol_per_kg + e.mgco3_mol_per_kg +
                            e.mgso4_mol_per_kg,
                        t->magnesium_mol_per_kg, 1e-12);
        assert_relative(e.so4_mol_per_kg + e.hso4_mol_per_kg + e.caso4_mol_per_kg +
                            e.naso4_mol_per_kg + e.mgso4_mol_per_kg,
                        t->sulfate_mol_per_kg, 1e-11);
        assert_relative(e.h3bo3_mol_per_kg + e.h2bo3_mol_per_kg, t->borate_mol_per_kg,
                        1e-12);
        assert_relative(cyanurate_sum(&e, 0), t->cyanurate_mol_per_kg, 1e-12);
        assert_relative(e.hocl_mol_per_kg + e.ocl_mol_per_kg + cyanurate_sum(&e, 1),
                        t->chlorine_mol_per_kg, 1e-9);
        assert_relative(e.co2_mol_per_kg + e.hco3_mol_per_kg + e.co3_mol_per_kg +
                            e.cahco3_mol_per_kg + e.caco3_mol_per_kg +
                            e.nahco3_mol_per_kg + e.naco3_mol_per_kg +
                            e.mghco3_mol_per_kg + e.mgco3_mol_per_kg,
                        w.dic_mol_per_kg, 1e-9);
    }
}
END_TEST

/* Charges of all species but sodium's and chloride's inert part. */
static double charge_of(const struct coil_totals *t, const struct coil_equilibrium *e)
{
    double cyanurate = 0;
    int form;

    for (form = 0; form < COIL_CYANURATE_FORM_COUNT; form++)
        cyanurate += e->cyanurate_mol_per_kg[form] *
                     coil_cyanurate_charges((enum coil_cyanurate_form)form);
    return e->h_mol_per_kg - e->oh_mol_per_kg - e->hco3_mol_per_kg -
           2 * e->co3_mol_per_kg + 2 * e->ca_mol_per_kg + e->cahco3_mol_per_kg +
           e->na_mol_per_kg - e->naco3_mol_per_kg + 2 * e->mg_mol_per_kg +
           e->mghco3_mol_per_kg - 2 * e->so4_mol_per_kg - e->hso4_mol_per_kg -
           e->naso4_mol_per_kg - e->h2bo3_mol_per_kg - e->ocl_mol_per_kg - cyanurate -
           t->chloride_mol_per_kg;
}

/* A water made by the recipe of salts and neutral acids has no charge left. */
START_TEST(charges_balance)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 2000; i++) {
        struct coil_composition c = {
            .ph = random_between(&random, 6.5, 8.6),
            .total_alkalinity_mg_per_l_caco3 = random_between(&random, 60, 300),
            .calcium_hardness_mg_per_l_caco3 = random_between(&random, 10, 1000),
            .magnesium_mg_per_l = random_between(&random, 0, 200),
            .salt_mg_per_l_nacl = random_between(&random, 0, 6000),
            .sulfate_mg_per_l = random_between(&random, 0, 1000),
            .borate_mg_per_l_b = random_between(&random, 0, 30),
            .cyanuric_acid_mg_per_l = random_between(&random, 0, 60),
            .chlorine_mg_per_l = random_between(&random, 0, 10),
            .water_temp_c = random_between(&random, 5, 45)};
        struct coil_constants k;
        struct coil_totals totals;
        struct coil_equilibrium e;

        ck_assert_int_ge(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, NULL),
                         0);
        ck_assert_double_eq_tol(charge_of(&totals, &e), 0,
                                1e-9 * e.alkalinity_eq_per_kg);
    }
}
END_TEST

/* The other five pairs of what one pair gave. */
START_TEST(any_two_values_give_the_rest)
{
    struct random_state random = {SEED};
    int i, given;

    for (i = 0; i < 3000; i++) {
        struct coil_constants k;
        struct coil_equilibrium e, r;
        struct random_water w;

        random_water_pool(&random, &w);
        ck_assert_int_ge(solve_random(&w, &k, &e), 0);
        for (given = COIL_GIVEN_PH_ALKALINITY; given <= COIL_GIVEN_DIC_PCO2; given++) {
            const double values[4] = {e.ph, e.alkalinity_eq_per_kg, e.dic_mol_per_kg,
                                      e.pco2_atm};
            static const int which[6][2] = {{0, 1}, {0, 2}, {0, 3},
                                            {1, 2}, {1, 3}, {2, 3}};

            ck_assert_int_ge(coil_equilibrium_solve(
                                 &k, &w.totals, (enum coil_given)given,
                                 values[which[given][0]], values[which[given][1]], &r),
                             0);
            ck_assert_double_eq_tol(r.ph, e.ph, 1e-7);
            ck_assert_double_eq_tol(r.si_calcite, e.si_calcite, 1e-7);
            assert_relative(r.alkalinity_eq_per_kg, e.alkalinity_eq_per_kg, 1e-8);
            assert_relative(r.dic_mol_per_kg, e.dic_mol_per_kg, 1e-7);
            assert_relative(r.pco2_atm, e.pco2_atm, 1e-6);
        }
    }
}
END_TEST

/*
 * All pairs over the whole domain, as far as a pair tells the water. Over ten million
 * waters (tests/bench/chemistry.c) the worst took 193.
 */
#define MOST_EVALUATIONS 200
#define MOST_EVALUATIONS_POOL 8

static int solved_soon(const struct coil_constants *k, const struct coil_totals *totals,
                       enum coil_given given, double first, double second,
                       struct coil_equilibrium *out)
{
    return coil_equilibrium_solve(k, totals, given, first, second, out) >= 0 &&
           out->iterations <= MOST_EVALUATIONS;
}

/* 1 when all pairs that tell this water are solved. */
static int all_pairs_solved(const struct coil_constants *k,
                            const struct random_water *w)
{
    const struct coil_totals *t = &w->totals;
    struct coil_equilibrium e, r;

    if (!solved_soon(k, t, COIL_GIVEN_PH_DIC, w->ph, w->dic_mol_per_kg, &e))
        return 0;
    if (random_alkalinity_accepted(&e) &&
        !solved_soon(k, t, COIL_GIVEN_ALKALINITY_DIC, e.alkalinity_eq_per_kg,
                     e.dic_mol_per_kg, &r))
        return 0;
    if (random_alkalinity_accepted(&e) && random_alkalinity_tells(&e) &&
        (!solved_soon(k, t, COIL_GIVEN_PH_ALKALINITY, e.ph, e.alkalinity_eq_per_kg,
                      &r) ||
         !solved_soon(k, t, COIL_GIVEN_ALKALINITY_PCO2, e.alkalinity_eq_per_kg,
                      e.pco2_atm, &r)))
        return 0;
    return !random_pressure_tells(&e) ||
           coil_equilibrium_solve(k, t, COIL_GIVEN_DIC_PCO2, e.dic_mol_per_kg,
                                  e.pco2_atm, &r) >= 0;
}

START_TEST(every_accepted_water_is_solved)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 100000; i++) {
        struct coil_constants k;
        struct random_water w;

        random_water_any(&random, &w);
        if (coil_constants_at(w.temp_c, (enum coil_cyanurate_source)(i % 4), &k) !=
                COIL_OK ||
            !all_pairs_solved(&k, &w))
            ck_abort_msg("water %d was not solved: pH %g, carbon %g mol/kg, %g degC", i,
                         w.ph, w.dic_mol_per_kg, w.temp_c);
    }
}
END_TEST

START_TEST(pool_waters_take_few_evaluations)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 20000; i++) {
        struct coil_constants k;
        struct coil_equilibrium e, r;
        struct random_water w;

        random_water_pool(&random, &w);
        ck_assert_int_ge(solve_random(&w, &k, &e), 0);
        ck_assert_int_ge(coil_equilibrium_solve(&k, &w.totals, COIL_GIVEN_PH_ALKALINITY,
                                                e.ph, e.alkalinity_eq_per_kg, &r),
                         0);
        ck_assert_int_le(r.iterations, MOST_EVALUATIONS_POOL);
    }
}
END_TEST

/* DIC and alkalinity of the species at fixed activity coefficients. */
static void sums_at(const struct coil_conditional *k, double ln_h, double hco3,
                    double *out_dic, double *out_alkalinity)
{
    struct coil_species s = {.h = exp(ln_h), .hco3 = hco3};

    coil_species_find_chlorine(k, &s);
    coil_species_find_metals(k, &s);
    *out_dic = coil_species_dic(k, &s);
    *out_alkalinity = coil_species_alkalinity(k, &s);
}

static double five_point(const double f[4], double step)
{
    return (f[0] - 8 * f[1] + 8 * f[2] - f[3]) / (12 * step);
}

START_TEST(analytic_slopes_agree_with_finite_differences)
{
    static const double at[4] = {-2, -1, 1, 2};
    struct random_state random = {SEED};
    int i, j;

    for (i = 0; i < 1000; i++) {
        struct coil_constants k;
        struct coil_equilibrium e;
        struct coil_conditional c;
        struct coil_species s = {0};
        struct coil_species_slopes slopes;
        struct random_water w;
        double dic_c[4], alk_c[4], dic_l[4], alk_l[4], size;
        const double step = 1e-3;

        random_water_pool(&random, &w);
        w.totals.magnesium_mol_per_kg = i % 2 ? 0.002 : 0;
        ck_assert_int_ge(solve_random(&w, &k, &e), 0);
        coil_conditional_start(&w.totals, &c);
        coil_conditional_at(&k, e.ionic_strength_mol_per_kg, e.water_activity, &c);
        s.h = pow(10, -e.ph);
        s.hco3 = e.hco3_mol_per_kg;
        coil_species_find_chlorine(&c, &s);
        coil_species_find_metals(&c, &s);
        coil_species_slopes(&c, &s, &slopes);
        for (j = 0; j < 4; j++) {
            sums_at(&c, log(s.h), s.hco3 * (1 + at[j] * step), &dic_c[j], &alk_c[j]);
            sums_at(&c, log(s.h) + at[j] * step, s.hco3, &dic_l[j], &alk_l[j]);
        }
        size = e.alkalinity_eq_per_kg;
        ck_assert_double_eq_tol(five_point(dic_c, step), slopes.dic_by_hco3 * s.hco3,
                                1e-8 * size);
        ck_assert_double_eq_tol(five_point(alk_c, step),
                                slopes.alkalinity_by_hco3 * s.hco3, 1e-8 * size);
        ck_assert_double_eq_tol(five_point(dic_l, step), slopes.dic_by_ln_h,
                                1e-8 * size);
        ck_assert_double_eq_tol(five_point(alk_l, step), slopes.alkalinity_by_ln_h,
                                1e-8 * size);
    }
}
END_TEST

/* A little alkali at fixed carbon; it moves the ionic strength too, hence 2 %. */
START_TEST(buffer_capacity_is_the_alkali_per_ph)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 500; i++) {
        struct coil_constants k;
        struct coil_equilibrium e, more;
        struct random_water w;
        double added = 1e-7, measured, capacity;

        random_water_pool(&random, &w);
        ck_assert_int_ge(solve_random(&w, &k, &e), 0);
        capacity = coil_equilibrium_buffer_capacity(&k, &w.totals, &e);
        w.totals.sodium_mol_per_kg += added;
        ck_assert_int_ge(coil_equilibrium_solve(
                             &k, &w.totals, COIL_GIVEN_ALKALINITY_DIC,
                             e.alkalinity_eq_per_kg + added, e.dic_mol_per_kg, &more),
                         0);
        measured = added / (more.ph - e.ph);
        ck_assert_double_gt(capacity, 0);
        assert_relative(capacity, measured, 0.02);
    }
}
END_TEST

static double index_of(const struct coil_composition *c)
{
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;

    ck_assert_int_ge(coil_water_from_composition(c, WAHMAN, &k, &totals, &e, NULL), 0);
    return e.si_calcite;
}

static const struct coil_composition POOL = {.ph = 7.5,
                                             .total_alkalinity_mg_per_l_caco3 = 90,
                                             .calcium_hardness_mg_per_l_caco3 = 300,
                                             .salt_mg_per_l_nacl = 1000,
                                             .water_temp_c = 28};

/* What other databases say: sulfate -0.015 to -0.03 per 100 mg/L and -0.12 to -0.22 at
 * 1000; magnesium 60 mg/L -0.02 to -0.04; cyanurate taken for carbonate 0.096 at 50
 * mg/L, alkalinity 80, pH 7.5, 28 degC (computed with PHREEQC 3.8.8). Half of the last
 * digit. */
START_TEST(other_ions_move_the_index_as_measured)
{
    struct coil_composition c = POOL;
    double plain = index_of(&c);

    c.sulfate_mg_per_l = 100;
    ck_assert_double_le(index_of(&c) - plain, -0.0145);
    ck_assert_double_ge(index_of(&c) - plain, -0.035);
    c.sulfate_mg_per_l = 1000;
    ck_assert_double_le(index_of(&c) - plain, -0.115);
    ck_assert_double_ge(index_of(&c) - plain, -0.225);
    c = POOL;
    c.magnesium_mg_per_l = 60;
    ck_assert_double_le(index_of(&c) - plain, -0.015);
    ck_assert_double_ge(index_of(&c) - plain, -0.045);
    c = POOL;
    c.total_alkalinity_mg_per_l_caco3 = 80;
    plain = index_of(&c);
    c.cyanuric_acid_mg_per_l = 50;
    ck_assert_double_eq_tol(plain - index_of(&c), 0.096, 0.01);
}
END_TEST

/* Borax 0.01 mol/kg is a pH standard: 9.180 at 25 degC (from memory). */
START_TEST(borax_buffer_has_its_standard_ph)
{
    struct coil_constants k = constants_at(25);
    struct coil_totals totals = {.sodium_mol_per_kg = 0.02, .borate_mol_per_kg = 0.04};
    struct coil_equilibrium e;

    ck_assert_int_eq(
        coil_equilibrium_solve(&k, &totals, COIL_GIVEN_ALKALINITY_DIC, 0.02, 0, &e),
        COIL_OK);
    ck_assert_double_eq_tol(e.ph, 9.180, 0.02);
    ck_assert(isinf(e.si_calcite) && e.si_calcite < 0);
}
END_TEST

/* Neutral water: half of pKw; 7.47 at 0 degC, 7.00 at 25, 6.77 at 40, 6.64 at 50. */
START_TEST(pure_water_is_neutral)
{
    static const double temps[] = {0, 25, 40, 50};
    static const double neutral[] = {7.47, 7.00, 6.77, 6.64};
    const struct coil_totals nothing = {0};
    int i;

    for (i = 0; i < 4; i++) {
        struct coil_constants k = constants_at(temps[i]);
        struct coil_equilibrium e;

        ck_assert_int_eq(
            coil_equilibrium_solve(&k, &nothing, COIL_GIVEN_ALKALINITY_DIC, 0, 0, &e),
            COIL_OK);
        ck_assert_double_eq_tol(e.ph, neutral[i], 0.006);
    }
}
END_TEST

/* Water of pH 7.5, alkalinity 80, 25 degC holds about seven times air's CO2. */
START_TEST(pool_water_holds_more_co2_than_air)
{
    struct coil_composition c = {.ph = 7.5,
                                 .total_alkalinity_mg_per_l_caco3 = 80,
                                 .calcium_hardness_mg_per_l_caco3 = 250,
                                 .salt_mg_per_l_nacl = 500,
                                 .water_temp_c = 25};
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;

    ck_assert_int_eq(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, NULL),
                     COIL_OK);
    ck_assert_double_eq_tol(e.pco2_atm * 1e6, 2844, 15);
}
END_TEST

START_TEST(water_outside_the_sources_is_computed_and_said_so)
{
    struct coil_constants warm = constants_at(60), mild = constants_at(28);
    struct coil_totals pool = {.calcium_mol_per_kg = 0.003,
                               .sodium_mol_per_kg = 0.02,
                               .chloride_mol_per_kg = 0.024};
    struct coil_totals chlorinated = pool, sea = pool;
    struct coil_equilibrium e;

    chlorinated.chlorine_mol_per_kg = 3e-5;
    sea.sodium_mol_per_kg = sea.chloride_mol_per_kg = 0.9;
    ck_assert_int_eq(coil_equilibrium_solve(&warm, &pool, 0, 7.5, 0.0016, &e), COIL_OK);
    ck_assert_int_eq(coil_equilibrium_solve(&warm, &chlorinated, 0, 7.5, 0.0016, &e),
                     COIL_WARN_RANGE);
    ck_assert_int_eq(coil_equilibrium_solve(&mild, &chlorinated, 0, 7.5, 0.0016, &e),
                     COIL_OK);
    ck_assert_int_eq(coil_equilibrium_solve(&mild, &sea, 0, 7.5, 0.0016, &e),
                     COIL_WARN_RANGE);
}
END_TEST

START_TEST(what_is_no_water_is_refused)
{
    struct coil_constants k = constants_at(25), cold;
    struct coil_totals t = {.calcium_mol_per_kg = 0.003,
                            .sodium_mol_per_kg = 0.02,
                            .chloride_mol_per_kg = 0.024,
                            .cyanurate_mol_per_kg = 0.002},
                       bad;
    struct coil_equilibrium e, kept;

    memset(&e, 7, sizeof e);
    kept = e;
    /* Alkalinity below what cyanurate alone holds at that pH. */
    ck_assert_int_eq(
        coil_equilibrium_solve(&k, &t, COIL_GIVEN_PH_ALKALINITY, 8, 1e-4, &e),
        COIL_ERR_NO_SOLUTION);
    ck_assert_int_eq(coil_equilibrium_solve(&k, &t, COIL_GIVEN_PH_DIC, 7.5, -1e-6, &e),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(
        coil_equilibrium_solve(&k, &t, COIL_GIVEN_PH_ALKALINITY, 7.5, NAN, &e),
        COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(
        coil_equilibrium_solve(&k, &t, COIL_GIVEN_PH_ALKALINITY, 15, 0.002, &e),
        COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_equilibrium_solve(&k, &t, (enum coil_given)9, 7, 0.002, &e),
                     COIL_ERR_DOMAIN);
    /* Less carbon than the CO2 of that pressure. */
    ck_assert_int_eq(
        coil_equilibrium_solve(&k, &t, COIL_GIVEN_DIC_PCO2, 1e-5, 0.01, &e),
        COIL_ERR_NO_SOLUTION);
    bad = t;
    bad.calcium_mol_per_kg = -1e-9;
    ck_assert_int_eq(coil_equilibrium_solve(&k, &bad, 0, 7.5, 0.002, &e),
                     COIL_ERR_DOMAIN);
    bad.calcium_mol_per_kg = NAN;
    ck_assert_int_eq(coil_equilibrium_solve(&k, &bad, 0, 7.5, 0.002, &e),
                     COIL_ERR_NOT_FINITE);
    ck_assert_mem_eq(&e, &kept, sizeof e);
    ck_assert_int_eq(coil_constants_at(-0.1, WAHMAN, &cold), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_constants_at(70.1, WAHMAN, &cold), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_constants_at(NAN, WAHMAN, &cold), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_constants_at(25, (enum coil_cyanurate_source)9, &cold),
                     COIL_ERR_UNKNOWN);
}
END_TEST

/* Number of the first NaN among the values of a water, -1 when there is none. */
static int find_nan(const struct coil_equilibrium *e)
{
    double all[offsetof(struct coil_equilibrium, iterations) / sizeof(double)];
    int i, count = (int)(sizeof all / sizeof *all);

    memcpy(all, e, sizeof all);
    for (i = 0; i < count; i++) {
        if (isnan(all[i]))
            return i;
    }
    return -1;
}

/* Whatever goes in, no NaN comes out. Every third value is odd. */
START_TEST(nothing_makes_not_a_number)
{
    static const double odd[] = {NAN,    INFINITY, -INFINITY, -1,  1e308, 0, -0.0,
                                 1e-320, 1e-30,    3e-4,      0.5, 2,     7, 14};
    const int count = (int)(sizeof odd / sizeof *odd), accepted = 5;
    struct random_state random = {SEED};
    int i, j, solved = 0;

    for (i = 0; i < 100000; i++) {
        struct coil_constants k;
        struct coil_totals t;
        struct coil_equilibrium e;
        double values[10];

        for (j = 0; j < 10; j++) {
            int first = random_fraction(&random) < 0.05 ? 0 : accepted;

            values[j] = odd[first + (int)(random_fraction(&random) * (count - first))];
        }
        if (coil_constants_at(random_between(&random, 0, 70), WAHMAN, &k) != COIL_OK)
            ck_abort_msg("constants refused");
        memcpy(&t, values, sizeof t);
        if (coil_equilibrium_solve(&k, &t, (enum coil_given)(i % 6), values[8],
                                   values[9], &e) < 0)
            continue;
        solved++;
        if (find_nan(&e) >= 0)
            ck_abort_msg("value %d of try %d is NaN", find_nan(&e), i);
    }
    ck_assert_int_gt(solved, 100);
}
END_TEST

START_TEST(composition_names_the_value_it_refuses)
{
    struct coil_composition c = POOL;
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;
    enum coil_quantity field = COIL_QUANTITY_COUNT;

    c.total_alkalinity_mg_per_l_caco3 = NAN;
    ck_assert_int_eq(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, &field),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(field, COIL_TOTAL_ALKALINITY);
    c = POOL;
    c.calcium_hardness_mg_per_l_caco3 = -1;
    ck_assert_int_eq(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, &field),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(field, COIL_CALCIUM_HARDNESS);
    c = POOL;
    c.water_temp_c = 80;
    ck_assert_int_eq(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, &field),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(field, COIL_WATER_TEMP);
    c = POOL;
    c.ph = NAN;
    ck_assert_int_eq(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, &field),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(field, COIL_PH);
    c = POOL;
    c.cyanuric_acid_mg_per_l = 1000; /* holds 300 mg/L of alkalinity at pH 7.5 */
    ck_assert_int_eq(coil_water_from_composition(&c, WAHMAN, &k, &totals, &e, &field),
                     COIL_ERR_NO_SOLUTION);
    ck_assert_int_eq(field, COIL_TOTAL_ALKALINITY);
}
END_TEST

/* NaCl as such, by the recipe's own salts: 110.984/100.0869 per hardness and so on. */
START_TEST(salt_is_what_dissolved_solids_leave)
{
    struct coil_composition c = {.total_alkalinity_mg_per_l_caco3 = 100.0869,
                                 .calcium_hardness_mg_per_l_caco3 = 200.1738};
    double salt = NAN;

    ck_assert_int_eq(coil_salt_from_tds(&c, 1000, &salt), COIL_OK);
    ck_assert_double_eq_tol(salt, 1000 - 2 * 110.984 - 2 * 84.007, 1e-6);
    ck_assert_int_eq(coil_salt_from_tds(&c, 100, &salt), COIL_OK);
    ck_assert_double_eq(salt, 0);
    ck_assert_int_eq(coil_salt_from_tds(&c, -1, &salt), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_salt_from_tds(&c, NAN, &salt), COIL_ERR_NOT_FINITE);
}
END_TEST

/* 1 g/L of trichlor: HCl2Cy, pK 3.75 [obrien-1974], holds acid that the measured set
 * has no place for. */
START_TEST(strong_acid_stabilised_chlorine_says_that_the_measured_set_lacks_forms)
{
    const struct coil_totals totals = {.cyanurate_mol_per_kg = 4e-3,
                                       .chlorine_mol_per_kg = 12e-3};
    static const struct {
        enum coil_cyanurate_source source;
        double ph;
        enum coil_status status;
    } cases[] = {{COIL_CYANURATE_WAHMAN_2019, 5.4, COIL_WARN_RANGE},
                 {COIL_CYANURATE_WAHMAN_2019, 5.6, COIL_OK},
                 {COIL_CYANURATE_WAHMAN_2019_ALONE, 4, COIL_WARN_RANGE},
                 {COIL_CYANURATE_OBRIEN_1974, 4, COIL_OK}};
    struct coil_equilibrium water;
    struct coil_constants k;

    ck_assert_int_eq(coil_constants_at(25, cases[_i].source, &k), COIL_OK);
    ck_assert_int_eq(coil_equilibrium_solve(&k, &totals, COIL_GIVEN_PH_DIC,
                                            cases[_i].ph, 1e-3, &water),
                     cases[_i].status);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("equilibrium");
    TCase *tcase = tcase_create("equilibrium");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, constants_are_the_published_ones);
    tcase_add_loop_test(
        tcase, strong_acid_stabilised_chlorine_says_that_the_measured_set_lacks_forms,
        0, 4);
    tcase_add_test(tcase, constants_keep_their_course_over_temperature);
    tcase_add_test(tcase, activity_slopes_are_those_of_water);
    tcase_add_test(tcase, species_sum_to_the_totals);
    tcase_add_test(tcase, charges_balance);
    tcase_add_test(tcase, any_two_values_give_the_rest);
    tcase_add_test(tcase, every_accepted_water_is_solved);
    tcase_add_test(tcase, pool_waters_take_few_evaluations);
    tcase_add_test(tcase, analytic_slopes_agree_with_finite_differences);
    tcase_add_test(tcase, buffer_capacity_is_the_alkali_per_ph);
    tcase_add_test(tcase, other_ions_move_the_index_as_measured);
    tcase_add_test(tcase, borax_buffer_has_its_standard_ph);
    tcase_add_test(tcase, pure_water_is_neutral);
    tcase_add_test(tcase, pool_water_holds_more_co2_than_air);
    tcase_add_test(tcase, water_outside_the_sources_is_computed_and_said_so);
    tcase_add_test(tcase, what_is_no_water_is_refused);
    tcase_add_test(tcase, nothing_makes_not_a_number);
    tcase_add_test(tcase, composition_names_the_value_it_refuses);
    tcase_add_test(tcase, salt_is_what_dissolved_solids_leave);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
