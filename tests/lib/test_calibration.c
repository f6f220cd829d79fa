/*
 * How honest the bands are: how often they hold later readings of simulated pools whose
 * structure is not that of the model (pool_sim.h), and whether they are worth having.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "lib/forecast.h"
#include "tests/lib/pool_sim.h"

#define DAY_S 86400.0
#define START_S 1748736000.0 /* 2025-06-01 00:00 UTC */
#define FACTS_MAX 6000
#define LEVEL COIL_FORECAST_LEVEL

static struct coil_pool_fact facts[FACTS_MAX];

#define POOLS 240
#define DAYS 240

struct tally {
    int count;
    int inside;
    int below;
    int above;
};

static void tally(struct tally *tally, const struct coil_band *band, double value)
{
    ck_assert_double_le(band->low, band->likely);
    ck_assert_double_le(band->likely, band->high);
    tally->count++;
    tally->below += value < band->low;
    tally->above += value > band->high;
    tally->inside += value >= band->low && value <= band->high;
}

static double share(const struct tally *tally)
{
    return (double)tally->inside / tally->count;
}

static void report(const char *name, const struct tally *tally)
{
    printf("# %-24s %6d readings, inside %.1f %%, below %.1f %%, above %.1f %%\n", name,
           tally->count, 100 * share(tally), 100.0 * tally->below / tally->count,
           100.0 * tally->above / tally->count);
}

struct study {
    struct tally chlorine, ph;                  /* next reading */
    struct tally keeper[SIM_KEEPER_COUNT];      /* chlorine, by kind of pool */
    struct tally chlorine_lead[COIL_FIT_LEADS]; /* days ahead: under 1.5, 5, 9 */
    struct tally ph_lead[COIL_FIT_LEADS];
    double own_chlorine, own_ph; /* sum of the coverages that fits report themselves */
    int pools;
};

/* The band for one reading, stated before it is looked at. */
static void try_next(struct study *study, const struct coil_fit *fit,
                     const struct coil_pool_fact *fact, enum sim_keeper keeper)
{
    struct coil_fit ahead = *fit;
    struct coil_forecast_point point;

    ck_assert_int_eq(coil_forecast_at(&ahead, (double)fact->at_s, LEVEL, &point),
                     COIL_OK);
    if (fact->kind == COIL_FACT_FREE_CHLORINE && point.has_free_chlorine) {
        tally(&study->chlorine, &point.free_chlorine_mg_per_l, fact->value);
        tally(&study->keeper[keeper], &point.free_chlorine_mg_per_l, fact->value);
    }
    if (fact->kind == COIL_FACT_PH && point.has_ph)
        tally(&study->ph, &point.ph, fact->value);
}

/* Bands for all readings of the next nine days; doses that were logged are told, the
 * readings are not. */
static void try_ahead(struct study *study, const struct coil_fit *fit, size_t from,
                      size_t count)
{
    struct coil_fit ahead = *fit;
    double start_s = fit->time_s;

    for (size_t i = from; i < count; i++) {
        const struct coil_pool_fact *fact = &facts[i];
        double days = ((double)fact->at_s - start_s) / DAY_S;
        int lead = days < 1.5 ? 0 : days < 5 ? 1 : 2;
        struct coil_fit there;
        struct coil_forecast_point point;

        if (days > 9)
            break;
        if (fact->kind != COIL_FACT_FREE_CHLORINE && fact->kind != COIL_FACT_PH) {
            coil_fit_add(&ahead, fact);
            continue;
        }
        there = ahead;
        coil_forecast_at(&there, (double)fact->at_s, LEVEL, &point);
        if (fact->kind == COIL_FACT_FREE_CHLORINE)
            tally(&study->chlorine_lead[lead], &point.free_chlorine_mg_per_l,
                  fact->value);
        else
            tally(&study->ph_lead[lead], &point.ph, fact->value);
    }
}

/* The first half of a pool's history teaches, the second half is forecast reading by
 * reading, each from the facts before it alone. */
static void study_pool(struct study *study, uint64_t seed, enum sim_keeper keeper,
                       double start_s)
{
    struct sim_log log = {.facts = facts, .capacity = FACTS_MAX};
    struct coil_fit fit;

    sim_pool_run(seed, keeper, start_s, DAYS, &log);
    ck_assert_uint_lt(log.count, FACTS_MAX);
    ck_assert_int_eq(coil_fit_init(&fit, &log.pool), COIL_OK);
    for (size_t i = 0; i < log.count; i++) {
        bool held_back = i >= log.count / 2;

        if (held_back)
            try_next(study, &fit, &facts[i], keeper);
        ck_assert_int_eq(coil_fit_add(&fit, &facts[i]), COIL_OK);
        if (held_back && facts[i].kind == COIL_FACT_FREE_CHLORINE && i % 4 == 0)
            try_ahead(study, &fit, i + 1, log.count);
    }
    study->own_chlorine += coil_forecast_coverage_chlorine(&fit).fraction;
    study->own_ph += coil_forecast_coverage_ph(&fit).fraction;
    study->pools++;
}

static void check_share(const struct tally *tally)
{
    ck_assert_int_gt(tally->count, 300);
    ck_assert_double_ge(share(tally), 0.85);
    ck_assert_double_le(share(tally), 0.95);
}

/* Three studies with other seeds; in each 240 pools, four ways of keeping them, all
 * seasons, 25 to 52 degrees north and south. The band of 0.9 has to hold 85 to 95 %. */
START_TEST(the_band_holds_on_pools_of_another_structure)
{
    static const char *const keepers[] = {"chlorine, by hand", "chlorine, salt cell",
                                          "chlorine, tablets", "chlorine, indoor"};
    static const char *const leads[] = {"under 1.5 days", "1.5 to 5 days",
                                        "5 to 9 days"};
    struct study study = {0};

    for (int i = 0; i < POOLS; i++)
        study_pool(&study, (uint64_t)(1 + 1000 * _i + i),
                   (enum sim_keeper)(i % SIM_KEEPER_COUNT),
                   1735689600.0 + (i % 12) * 30 * DAY_S);
    report("chlorine, next reading", &study.chlorine);
    report("pH, next reading", &study.ph);
    for (int i = 0; i < SIM_KEEPER_COUNT; i++)
        report(keepers[i], &study.keeper[i]);
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        char name[64];

        snprintf(name, sizeof name, "chlorine, %s", leads[i]);
        report(name, &study.chlorine_lead[i]);
        snprintf(name, sizeof name, "pH, %s", leads[i]);
        report(name, &study.ph_lead[i]);
    }
    printf("# coverage that the fits report themselves: chlorine %.3f, pH %.3f\n",
           study.own_chlorine / study.pools, study.own_ph / study.pools);
    check_share(&study.chlorine);
    check_share(&study.ph);
    for (int i = 0; i < SIM_KEEPER_COUNT; i++)
        check_share(&study.keeper[i]);
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        check_share(&study.chlorine_lead[i]);
        check_share(&study.ph_lead[i]);
    }
    /* what is reported must be what is true */
    ck_assert_double_eq_tol(study.own_chlorine / study.pools, share(&study.chlorine),
                            0.03);
    ck_assert_double_eq_tol(study.own_ph / study.pools, share(&study.ph), 0.03);
}
END_TEST

/* A band that holds because it is endless would be no use: it must beat the plainest
 * forecast, "as it was at the last test", by its likely value. */
START_TEST(the_likely_value_beats_the_last_reading)
{
    double model = 0;
    double naive = 0;

    for (int pool = 0; pool < 60; pool++) {
        struct sim_log log = {.facts = facts, .capacity = FACTS_MAX};
        struct coil_fit fit;
        double last = NAN;

        sim_pool_run((uint64_t)(5000 + pool), SIM_BY_HAND, START_S, DAYS, &log);
        ck_assert_int_eq(coil_fit_init(&fit, &log.pool), COIL_OK);
        for (size_t i = 0; i < log.count; i++) {
            if (facts[i].kind == COIL_FACT_DOSE_CHLORINE)
                last += facts[i].value;
            if (facts[i].kind == COIL_FACT_FREE_CHLORINE) {
                struct coil_fit ahead = fit;
                struct coil_forecast_point point;

                coil_forecast_at(&ahead, (double)facts[i].at_s, LEVEL, &point);
                if (i >= log.count / 2) {
                    model += fabs(point.free_chlorine_mg_per_l.likely - facts[i].value);
                    naive += fabs(last - facts[i].value);
                }
                last = facts[i].value;
            }
            coil_fit_add(&fit, &facts[i]);
        }
    }
    printf("# mean error against the last value with its doses: %.2f of it\n",
           model / naive);
    ck_assert_double_lt(model, 0.75 * naive);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("calibration");
    TCase *tcase = tcase_create("calibration");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 300);
    tcase_add_loop_test(tcase, the_band_holds_on_pools_of_another_structure, 0, 3);
    tcase_add_test(tcase, the_likely_value_beats_the_last_reading);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
