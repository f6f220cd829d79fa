/* What the files of the treatment plan share. Nobody else includes this. */
#ifndef COIL_TREATMENT_PRIVATE_H
#define COIL_TREATMENT_PRIVATE_H

#include "dose_product.h"
#include "treatment.h"

/* Aims are linear in doses, but pH; AERATE stands beside the products. */
#define CANDIDATES_MAX 20
#define SET_MAX 6
/* One unit of a candidate, mol/kg: about 1 % of what a pool holds. */
#define TREATMENT_UNIT_MOL_PER_KG 1e-4

/* The water on its way: what a dose adds to, and what a salt test does not count. */
struct treatment_water {
    struct coil_closed_water closed;
    double uncounted_chloride_mol_per_kg; /* of CaCl2 and MgCl2 at the start */
};

/* Something that may be done, per unit of 1e-4 mol/kg of its first reagent. */
struct treatment_candidate {
    bool is_aeration;
    enum coil_product product;
    int64_t shed_id; /* 0: to be bought */
    double strength_percent;
    double amount_left;
    double measure_step;           /* g or mL that can be told apart */
    double unit_amount;            /* g or mL in the pool for one unit */
    struct coil_dose unit;         /* of one unit; empty for aeration */
    double effect[COIL_AIM_COUNT]; /* change of the value by one unit; pH's slot: of the
                                      alkalinity above that of the pH wanted, eq/kg */
    double trouble; /* of its own: what it leaves behind, how slow it works */
    unsigned helps; /* bit of each aim that it moves the right way */
};

struct treatment_problem {
    const struct coil_treatment_input *input;
    struct coil_constants constants;
    struct coil_constants surface;  /* at the hot surface */
    struct treatment_water water;   /* replaced and neutralised as far as needed */
    bool driven[COIL_AIM_COUNT];    /* outside its range */
    bool is_raised[COIL_AIM_COUNT]; /* driven from below */
    double low[COIL_AIM_COUNT],
        high[COIL_AIM_COUNT]; /* that the search keeps; -/+ INF */
    struct treatment_candidate candidates[CANDIDATES_MAX];
    int candidate_count;
    bool is_outside_source;
};

struct treatment_set {
    bool is_found;
    bool is_relaxed; /* only without the bounds of what was well before */
    int count;
    int member[SET_MAX];
    double units[SET_MAX];
    double trouble;
    int tried;
};

/* The value of an aim in a closed water; pH needs the solved one and is not here. */
double treatment_linear(const struct treatment_water *water, enum coil_aim aim);

/* One unit times units of a candidate into a water. */
enum coil_status treatment_put(const struct treatment_water *water,
                               const struct treatment_candidate *candidate,
                               double units, struct treatment_water *out);

/* What can be measured of a product: the item's own step, or the general one. */
double treatment_measure_step(const struct coil_treatment_input *input,
                              enum coil_product product, double own_step);

/* treatment_set.c: fills problem->candidates, then finds the least troublesome set. */
void treatment_candidates(struct treatment_problem *problem);
void treatment_search(struct treatment_problem *problem, struct treatment_set *out);

/* treatment_steps.c */
enum coil_status treatment_state_of(const struct treatment_problem *problem,
                                    const struct treatment_water *water,
                                    struct coil_treatment_state *out);
/* A new step after those of the plan, its before filled; NULL when there is no room. */
struct coil_treatment_step *treatment_step_add(struct coil_treatment_plan *plan,
                                               enum coil_step_kind kind);
void treatment_steps(struct treatment_problem *problem, const struct treatment_set *set,
                     struct coil_treatment_plan *plan);
/* Closes a step: the water after it, heater in or off line. */
enum coil_status treatment_step_close(const struct treatment_problem *problem,
                                      const struct treatment_water *after,
                                      struct coil_treatment_plan *plan,
                                      struct coil_treatment_step *step);

#endif
