/*
 * How fast the water engine is on one core, and whether it converges everywhere.
 *
 *     chemistry [WATERS]
 *
 * Prints `name value unit anchor ratio goal` lines and then all of it as JSON: solves
 * per second from pH and alkalinity, closed heating per second (the heating alone, and
 * together with the solve that it starts from), the time of a complete treatment plan,
 * and over WATERS random waters of the whole accepted domain (10 million without a
 * number) how many were not solved and the most evaluations that one took. Nothing else
 * on a machine does this work, so anchor and ratio are "-" and a goal is of the value.
 *
 * A benchmark, not a test: exit 0 also where a goal is missed, 1 when a water was not
 * solved that has a solution.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "lib/equilibrium.h"
#include "lib/treatment.h"
#include "tests/support/random_water.h"

#define POOLS 64
#define ROUNDS_S 1.0 /* measured time for each figure */
#define FILM_RISE_K 25.0
#define SEED UINT64_C(88172645463325252)

#define NO_GOAL NAN

/* ---- figures ---- */

#define FIGURES_MAX 24

struct figure {
    char name[64];
    double value;
    const char *unit;
    double goal;
};

static struct figure figures[FIGURES_MAX];
static int figure_count;

static void figure(const char *name, double value, int digits, const char *unit,
                   double goal)
{
    struct figure *f = &figures[figure_count < FIGURES_MAX ? figure_count++ : 0];

    snprintf(f->name, sizeof f->name, "%s", name);
    f->value = value;
    f->unit = unit;
    f->goal = goal;
    printf("%s %.*f %s - - ", name, digits, value, unit);
    if (isnan(goal))
        puts("-");
    else
        printf("%.0f\n", goal);
    fflush(stdout);
}

static void print_json(long waters)
{
    printf("{\"waters\":%ld,\"figures\":[", waters);
    for (int i = 0; i < figure_count; i++) {
        const struct figure *f = &figures[i];

        printf("%s{\"name\":\"%s\",\"value\":%.10g,\"unit\":\"%s\",\"anchor\":null,"
               "\"ratio\":null,\"goal\":",
               i > 0 ? "," : "", f->name, f->value, f->unit);
        if (isnan(f->goal))
            printf("null}");
        else
            printf("%.0f}", f->goal);
    }
    puts("]}");
}

/* ---- speed ---- */

struct pool {
    struct coil_constants cold;
    struct coil_constants hot;
    struct coil_totals totals;
    double ph;
    double alkalinity;
    struct coil_equilibrium water;
};

/* Time that this process had a core: other work on the machine does not count. */
static double seconds(void)
{
    struct timespec now;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Waters of pools without anything rare: calcium, sodium, chloride, carbonate.
 * Constants are kept per temperature, as the caller of the engine does. */
static void make_pools(struct pool *pools, int plain)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < POOLS; i++) {
        struct pool *p = &pools[i];
        struct random_water w;

        random_water_pool(&random, &w);
        p->totals = w.totals;
        if (plain) {
            p->totals.sulfate_mol_per_kg = 0;
            p->totals.borate_mol_per_kg = 0;
            p->totals.cyanurate_mol_per_kg = 0;
            p->totals.chlorine_mol_per_kg = 0;
        }
        p->ph = w.ph;
        coil_constants_at(w.temp_c, COIL_CYANURATE_WAHMAN_2019, &p->cold);
        coil_constants_at(w.temp_c + FILM_RISE_K, COIL_CYANURATE_WAHMAN_2019, &p->hot);
        coil_equilibrium_solve(&p->cold, &p->totals, COIL_GIVEN_PH_DIC, w.ph,
                               w.dic_mol_per_kg, &p->water);
        p->alkalinity = p->water.alkalinity_eq_per_kg;
    }
}

enum work { WORK_SOLVE, WORK_HEAT, WORK_BOTH };

/* Rounds over all pools for about a second; the sum keeps the work from being left out.
 */
static double per_second(const struct pool *pools, enum work work, double *sum)
{
    double start = seconds(), spent;
    long done = 0;
    int i;

    do {
        for (i = 0; i < POOLS; i++) {
            const struct pool *p = &pools[i];
            struct coil_equilibrium cold = p->water, hot;

            if (work != WORK_HEAT)
                coil_equilibrium_solve(&p->cold, &p->totals, COIL_GIVEN_PH_ALKALINITY,
                                       p->ph, p->alkalinity, &cold);
            *sum += cold.si_calcite;
            if (work != WORK_SOLVE &&
                coil_equilibrium_heat(&p->hot, &p->totals, &cold, &hot) >= 0)
                *sum += hot.ph;
        }
        done += POOLS;
        spent = seconds() - start;
    } while (spent < ROUNDS_S);
    return (double)done / spent;
}

static void print_speed(void)
{
    static struct pool pools[POOLS];
    double sum = 0;

    make_pools(pools, 1);
    figure("equilibrium_solves_per_s", per_second(pools, WORK_SOLVE, &sum), 0, "1/s",
           1.5e6);
    figure("closed_heating_per_s", per_second(pools, WORK_HEAT, &sum), 0, "1/s", 1e6);
    figure("solve_and_heating_per_s", per_second(pools, WORK_BOTH, &sum), 0, "1/s",
           NO_GOAL);
    make_pools(pools, 0);
    figure("stabilised_solves_per_s", per_second(pools, WORK_SOLVE, &sum), 0, "1/s",
           NO_GOAL);
    figure("stabilised_heating_per_s", per_second(pools, WORK_HEAT, &sum), 0, "1/s",
           NO_GOAL);
    if (isnan(sum)) {
        fprintf(stderr, "An answer was not a number.\n");
        exit(1);
    }
}

struct tally {
    long unsolved;
    int worst;
    double sum;
    long count;
};

static void count(struct tally *tally, enum coil_status status,
                  const struct coil_equilibrium *water)
{
    if (status < 0) {
        tally->unsolved++;
        return;
    }
    if (water->iterations > tally->worst)
        tally->worst = water->iterations;
    tally->sum += water->iterations;
    tally->count++;
}

/* From pH and carbon, then the pairs that a pool starts from: the answer exists. */
static void converge(long waters, struct tally tallies[3])
{
    struct random_state random = {SEED};
    long i;

    for (i = 0; i < waters; i++) {
        struct coil_constants k;
        struct coil_equilibrium first, again;
        struct random_water w;
        enum coil_status status;

        random_water_any(&random, &w);
        coil_constants_at(w.temp_c, (enum coil_cyanurate_source)(i % 4), &k);
        status = coil_equilibrium_solve(&k, &w.totals, COIL_GIVEN_PH_DIC, w.ph,
                                        w.dic_mol_per_kg, &first);
        count(&tallies[0], status, &first);
        if (status < 0 || !random_alkalinity_accepted(&first))
            continue;
        if (random_alkalinity_tells(&first))
            count(&tallies[1],
                  coil_equilibrium_solve(&k, &w.totals, COIL_GIVEN_PH_ALKALINITY, w.ph,
                                         first.alkalinity_eq_per_kg, &again),
                  &again);
        count(&tallies[2],
              coil_equilibrium_solve(&k, &w.totals, COIL_GIVEN_ALKALINITY_DIC,
                                     first.alkalinity_eq_per_kg, first.dic_mol_per_kg,
                                     &again),
              &again);
    }
}

/* Complete plans for pools with much amiss and a full shed: mean and worst, ms. */
static void bench_treatment(void)
{
    static const struct coil_wanted_basis basis = {true, true, false};
    const struct coil_shed_item shed[] = {{1, COIL_HYDROCHLORIC_ACID, 31.45, 5000, 0},
                                          {2, COIL_SODIUM_BICARBONATE, 99, 9000, 0},
                                          {3, COIL_SODIUM_CARBONATE, 99, 3000, 0},
                                          {4, COIL_DICHLOR, 55, 4000, 0},
                                          {5, COIL_CALCIUM_HYPOCHLORITE, 65, 4000, 0},
                                          {6, COIL_BORAX, 99, 2000, 0}};
    struct random_state random = {SEED};
    double sum = 0, worst = 0;
    int i, k, count = 0;

    for (i = 0; i < 300; i++) {
        struct coil_treatment_input in;
        struct coil_treatment_plan plan;
        double start;

        coil_treatment_input_init(&in);
        for (k = 0; k < COIL_AIM_COUNT; k++)
            in.wanted[k] = coil_wanted_default((enum coil_aim)k, &basis);
        in.volume_m3 = 50;
        in.knows_calcium = true;
        in.steps = (struct coil_saturation_steps){0.1, 10, 10, 100, 1, 10, 0.5};
        in.shed = shed;
        in.shed_count = 6;
        in.water = (struct coil_composition){
            .ph = random_between(&random, 6.8, 8.2),
            .total_alkalinity_mg_per_l_caco3 = random_between(&random, 50, 200),
            .calcium_hardness_mg_per_l_caco3 = random_between(&random, 50, 390),
            .salt_mg_per_l_nacl = 600,
            .cyanuric_acid_mg_per_l = random_between(&random, 0, 50),
            .chlorine_mg_per_l = random_between(&random, 0, 4),
            .water_temp_c = random_between(&random, 10, 33)};
        start = seconds();
        if (coil_treatment_plan(&in, &plan, NULL) < 0)
            continue;
        start = seconds() - start;
        sum += start;
        worst = fmax(worst, start);
        count++;
    }
    figure("treatment_plan_mean_ms", 1e3 * sum / (count > 0 ? count : 1), 3, "ms", 2);
    figure("treatment_plan_worst_ms", 1e3 * worst, 3, "ms", 2);
}

static void print_tally(const char *pair, const struct tally *tally)
{
    char name[64];

    snprintf(name, sizeof name, "convergence_%s_unsolved", pair);
    figure(name, (double)tally->unsolved, 0, "waters", NO_GOAL);
    snprintf(name, sizeof name, "convergence_%s_worst_evaluations", pair);
    figure(name, tally->worst, 0, "evaluations", NO_GOAL);
    snprintf(name, sizeof name, "convergence_%s_mean_evaluations", pair);
    if (tally->count > 0)
        figure(name, tally->sum / (double)tally->count, 2, "evaluations", NO_GOAL);
}

int main(int argc, char **argv)
{
    static const char *const pairs[] = {"ph_dic", "ph_alkalinity", "alkalinity_dic"};
    long waters = argc > 1 ? strtol(argv[1], NULL, 10) : 10000000, unsolved = 0;
    struct tally tallies[3] = {{0}};
    int i;

    print_speed();
    bench_treatment();
    converge(waters, tallies);
    for (i = 0; i < 3; i++) {
        print_tally(pairs[i], &tallies[i]);
        unsolved += tallies[i].unsolved;
    }
    print_json(waters);
    return unsolved == 0 ? 0 : 1;
}
