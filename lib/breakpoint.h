/*
 * How much chlorine breaks down combined chlorine, what takes chlorine away again, and
 * when neither helps.
 *
 * All amounts of chlorine are as Cl2. Two rules stand side by side: stoichiometry,
 * which counts only ammonia's nitrogen, and the trade's ten times combined chlorine,
 * which is twenty times what monochloramine still needs and leaves room for urea and
 * organic nitrogen. Knows nothing of the heater; the plan weighs what each rule would
 * do to it.
 */
#ifndef COIL_BREAKPOINT_H
#define COIL_BREAKPOINT_H

#include <stdbool.h>

#include "status.h"

/* Mass of chlorine for a mass of ammonia nitrogen: 3 Cl2 for 2 N. Molar masses
 * [iupac-atomic-weights]. Checked by fixtures/tables/breakpoint.csv. */
#define COIL_BREAKPOINT_PER_N (1.5 * 70.906 / 14.0067)
#define COIL_BREAKPOINT_PER_N_LOW 10.0 /* in practice; printed in engineering texts */
#define COIL_BREAKPOINT_PER_N_HIGH 15.0
#define COIL_BREAKPOINT_PER_N_NITRATE (4.0 * 70.906 / 14.0067) /* upper bound */
/* Combined chlorine as monochloramine: 2 NH2Cl + HOCl = N2 + 3 HCl + H2O. */
#define COIL_BREAKPOINT_PER_COMBINED 0.5
#define COIL_BREAKPOINT_TRADE 10.0     /* common practice, no source */
#define COIL_BREAKPOINT_FASTEST_PH 8.3 /* printed in an engineering text */

/* Alkalinity that one mg/L of ammonia nitrogen costs (mg/L as CaCO3). */
enum coil_chlorine_form { COIL_FORM_CL2, COIL_FORM_HOCL, COIL_FORM_OCL };
double coil_breakpoint_alkalinity_per_n(enum coil_chlorine_form form);

struct coil_breakpoint_input {
    double free_chlorine_mg_per_l;     /* 0 to 500 */
    double combined_chlorine_mg_per_l; /* 0 to 200 */
    double ammonia_n_mg_per_l;         /* >= 0; NaN: not tested, as usual */
    double ph;                         /* 5 to 10 */
    double cyanuric_acid_mg_per_l;     /* 0 to 1000; NaN: not tested */
    double water_temp_c;               /* 0 to 60 */
    /* Free chlorine that the last try really reached and what combined chlorine it
     * left; NaN when there was none. */
    double last_peak_mg_per_l;
    double last_combined_before_mg_per_l;
    double last_combined_after_mg_per_l;
};

/* Why super-chlorination will not do; bits. */
enum coil_breakpoint_note {
    COIL_BREAKPOINT_NOT_NEEDED = 1,    /* combined chlorine 0.2 mg/L or less */
    COIL_BREAKPOINT_ORGANIC = 2,       /* the last try reached its level and combined
                                          chlorine stayed: organic chloramines */
    COIL_BREAKPOINT_CYANURIC_HIGH = 4, /* the level would be beyond 40 mg/L, or cyanuric
                                          acid is above 100 mg/L: dilute first */
    COIL_BREAKPOINT_CYANURIC_UNKNOWN = 8
};
/* DIN 19643 asks pools for 0.2 mg/L, second-hand. */
#define COIL_BREAKPOINT_COMBINED_LOW 0.2
/* MAHC's highest level of remediation. [cdc-mahc] */
#define COIL_BREAKPOINT_LEVEL_MAX 40.0
#define COIL_BREAKPOINT_CYANURIC_MAX 100.0 /* common practice, no source */
/* Without cyanurate, combined chlorine goes in hours at the trade's level; with it the
 * level is raised until there is as much HOCl as 2 mg/L would give without (at the same
 * pH). A convention of ours: fast enough for a night. */
#define COIL_BREAKPOINT_HOCL_AS_MG_PER_L 2.0

struct coil_breakpoint {
    double stoichiometric_mg_per_l; /* chlorine used up, at least */
    double practice_low_mg_per_l;   /* 10 and 15 per N where ammonia was tested, */
    double practice_high_mg_per_l;  /* else stoichiometry and the trade's rule */
    double trade_level_mg_per_l;    /* free chlorine to reach: ten times combined */
    double hocl_level_mg_per_l;     /* free chlorine to reach, for enough HOCl; NaN when
                                       cyanuric acid is not known */
    double level_mg_per_l;          /* what the plan uses: the larger of the two levels,
                                       at most COIL_BREAKPOINT_LEVEL_MAX */
    double dose_mg_per_l;           /* level less free chlorine now, >= 0 */
    double alkalinity_cost_low_mg_per_l_caco3; /* for monochloramine's nitrogen */
    double alkalinity_cost_high_mg_per_l_caco3;
    unsigned notes;
};

/*
 * The plan uses a level and not a dose: a level can be tested and takes account of what
 * is already there and of what is lost meanwhile.
 *
 * Returns COIL_OK, COIL_WARN_RANGE (temperature, chlorine.h), COIL_ERR_NOT_FINITE or
 * COIL_ERR_DOMAIN.
 */
enum coil_status coil_breakpoint_plan(const struct coil_breakpoint_input *input,
                                      struct coil_breakpoint *out);

/*
 * Free chlorine at which there are hocl_mg_per_l of HOCl (as Cl2), > 0 to 100,
 * bisection to 0.01 mg/L. COIL_ERR_NO_SOLUTION when 500 mg/L would not do.
 */
enum coil_status coil_free_chlorine_for_hocl(double hocl_mg_per_l,
                                             double cyanuric_acid_mg_per_l, double ph,
                                             double water_temp_c, double *out_mg_per_l);

/* ---- taking chlorine away ---- */

/*
 * X(name, number, key, words, g/mol, mol per mol Cl2 low, high, field mg/mg or 0,
 *   acid equivalents per mol Cl2 low, high)
 * Thiosulfate goes to sulfate (a quarter mol, 1.5 acid) or as far as tetrathionate only
 * (2 mol, one acid taken up). Field figures [awwa-dechlorination]. Numbers are written
 * into databases.
 */
#define COIL_NEUTRALISER_LIST(X)                                                       \
    X(COIL_NEUTRALISER_THIOSULFATE_5H2O, 0, "thiosulfate_pentahydrate",                \
      "Sodium thiosulfate, pentahydrate", 248.18, 0.25, 2.0, 1.9, -1.0, 1.5)           \
    X(COIL_NEUTRALISER_THIOSULFATE, 1, "thiosulfate_anhydrous",                        \
      "Sodium thiosulfate, anhydrous", 158.11, 0.25, 2.0, 0.0, -1.0, 1.5)              \
    X(COIL_NEUTRALISER_SULFITE, 2, "sulfite", "Sodium sulfite", 126.043, 1.0, 1.0,     \
      1.96, 1.0, 1.0)                                                                  \
    X(COIL_NEUTRALISER_BISULFITE, 3, "bisulfite", "Sodium bisulfite", 104.061, 1.0,    \
      1.0, 1.61, 2.0, 2.0)                                                             \
    X(COIL_NEUTRALISER_ASCORBIC, 4, "ascorbic_acid", "Ascorbic acid", 176.124, 1.0,    \
      1.0, 2.5, 1.0, 2.0)                                                              \
    X(COIL_NEUTRALISER_PEROXIDE, 5, "hydrogen_peroxide", "Hydrogen peroxide, 100 %",   \
      34.0147, 1.0, 1.0, 0.0, 1.0, 1.0)

enum coil_neutraliser {
#define X(name, number, key, words, mass, low, high, field, acid_low, acid_high)       \
    name = number,
    COIL_NEUTRALISER_LIST(X)
#undef X
        COIL_NEUTRALISER_COUNT
};

const char *coil_neutraliser_key(enum coil_neutraliser agent);   /* NULL: foreign */
const char *coil_neutraliser_words(enum coil_neutraliser agent); /* NULL: foreign */
enum coil_status coil_neutraliser_from_key(const char *key,
                                           enum coil_neutraliser *out_agent);

/* mg of agent for 1 mg of chlorine; field NaN where none is printed. Checked by
 * fixtures/tables/neutralisers.csv. */
struct coil_neutraliser_need {
    double low;
    double high;
    double field;
};
enum coil_status coil_neutraliser_need(enum coil_neutraliser agent,
                                       struct coil_neutraliser_need *out);

struct coil_neutraliser_amount {
    double low_g;
    double high_g;
    double field_g; /* NaN where none is printed */
    double first_g; /* to add first: half of the field figure, or of low. Then test. */
    /* Alkalinity lost while the agent reacts (below 0: gained), mg/L as CaCO3. */
    double alkalinity_loss_low_mg_per_l_caco3;
    double alkalinity_loss_high_mg_per_l_caco3;
};

/*
 * To come down by drop_mg_per_l (0 to 500) in volume_m3 (> 0). What is added beyond
 * need stays and eats the next chlorine. COIL_ERR_UNKNOWN for a foreign agent.
 */
enum coil_status coil_neutraliser_amount(enum coil_neutraliser agent,
                                         double drop_mg_per_l, double volume_m3,
                                         struct coil_neutraliser_amount *out);

#endif
