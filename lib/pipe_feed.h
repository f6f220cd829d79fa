/*
 * What is in the pipe: chlorine and pH at the heater's inlet while feeders feed, what
 * stands in the line after the pump stops, and the slug on restart.
 *
 * Chlorine is carried through the graph of line.h; pH comes from the equilibrium model
 * with each product's own acidity or alkalinity. 1 L of water counts as 1 kg. Nothing
 * decays and no gas leaves on the way: a pipe is short.
 */
#ifndef COIL_PIPE_FEED_H
#define COIL_PIPE_FEED_H

#include "dose_product.h"
#include "line.h"

/* g of Cl2 per ampere-hour and cell at 100 % current efficiency: 70.906 / (2 x
 * 96485.33212 / 3600). Faraday's law, [codata-2018] [iupac-atomic-weights]. */
#define COIL_FARADAY_G_PER_AH 1.32280

#define COIL_FEED_REAGENTS_MAX 2

/* A feed in what it brings. */
struct coil_feed_rate {
    double chlorine_g_per_h; /* as Cl2; 0 for acid */
    int count;
    enum coil_reagent reagent[COIL_FEED_REAGENTS_MAX];
    double mol_per_h[COIL_FEED_REAGENTS_MAX];
    bool makes_from_salt; /* salt cell: each mol of NaOCl takes one of NaCl */
};

/*
 * What one part feeds.
 *
 * part  of a line that passed coil_line_check
 * out   untouched unless COIL_OK is returned
 *
 * g/h by rating; salt cell by current: 1.3228 g/Ah x A x cells x efficiency; tablets by
 * what they lost between two weighings, times their strength. A salt cell turns NaCl
 * and water into NaOCl and hydrogen. Sodium hypochlorite comes with as much NaCl.
 *
 * Returns COIL_OK (all 0 for a part that feeds nothing); COIL_ERR_UNKNOWN when the
 * amount or the product is not known, or the equilibrium model does not have it
 * (bromine).
 */
enum coil_status coil_feed_rate(const struct coil_part *part,
                                struct coil_feed_rate *out);

/* Chlorine(+1) in one mol of a reagent (trichlor 3); 0 for a foreign number. */
double coil_reagent_chlorines(enum coil_reagent reagent);

/* Reagents together, in mol per h (or mol), by reagent. */
struct coil_feed_sum {
    double mol[COIL_REAGENT_COUNT];
    double from_salt_mol; /* NaCl that becomes NaOCl */
};

/* Adds times (h, or 1) of a rate. */
void coil_feed_sum_add(struct coil_feed_sum *sum, const struct coil_feed_rate *rate,
                       double times);
/* Chlorine in it, g as Cl2 (per h). */
double coil_feed_sum_chlorine_g(const struct coil_feed_sum *sum);

/* A water by what matters to the heater. */
struct coil_feed_water {
    double chlorine_mg_per_l; /* all of it as Cl2, the pool's own included */
    double hocl_mg_per_l;     /* free hypochlorous acid as Cl2; with has_ph */
    double ph;                /* with has_ph */
    bool has_ph;              /* false: beyond the equilibrium model (0.5 mol/kg) */
    bool is_extrapolated;     /* outside the range of the model's sources */
    struct coil_closed_water closed;
};

/*
 * Pool water with an amount of reagents dissolved in each litre.
 *
 * constants  of coil_constants_at, at the water's temperature
 * pool       the pool's own water
 * sum        mol; NULL: nothing
 * litres     > 0, in which it is dissolved
 * out        untouched unless >= 0 is returned
 *
 * Below pH 5.5 with cyanurate the set of [obrien-1974] replaces a newer one in
 * constants, which lacks the forms of strong solutions; then COIL_WARN_RANGE but at 25
 * degC.
 *
 * Returns COIL_OK, COIL_WARN_RANGE (is_extrapolated, or no pH), COIL_ERR_NOT_FINITE,
 * COIL_ERR_DOMAIN, COIL_ERR_NO_SOLUTION.
 * Checked by fixtures/tables/trichlor_solution_ph_computed.csv.
 */
enum coil_status coil_feed_dissolve(const struct coil_constants *constants,
                                    const struct coil_closed_water *pool,
                                    const struct coil_feed_sum *sum, double litres,
                                    struct coil_feed_water *out);

/* While feeding. */
struct coil_line_feed {
    double heater_flow_l_per_s;
    double fed_g_per_h;       /* chlorine of all feeders in the line */
    double to_heater_g_per_h; /* chlorine that arrives at the heater */
    double held_g_per_h;      /* fed into standing water */
    double added_mg_per_l;    /* chlorine at the heater's inlet above the pool's own */
    bool has_water;           /* false: no water passes the heater */
    struct coil_feed_water water;    /* at the heater's inlet */
    int unknown_count;               /* feeders that are not in these numbers */
    struct coil_line_carry chlorine; /* g/h, by part and edge */
};

/*
 * Chlorine and pH at the heater's inlet in one position while every feeder feeds.
 *
 * line      must have passed coil_line_check
 * out       untouched unless >= 0 is returned
 *
 * Chlorine (mg/L) = g/h / (3.6 x L/s). Every gram fed is delivered, or held in water
 * that does not move: chlorine.delivered + chlorine.held = fed_g_per_h. Statuses of
 * coil_line_flow and coil_feed_dissolve.
 */
enum coil_status coil_line_feed(const struct coil_line *line, int position,
                                const struct coil_constants *constants,
                                const struct coil_closed_water *pool,
                                struct coil_line_feed *out);

/* ---- the pump stands ---- */

/*
 * The most chlorine that a product gives to water, mg/L as Cl2, from solubilities near
 * 25 degC, all from memory: trichlor 12 g/L, dichlor 240 g/L, calcium hypochlorite 210
 * g/L, chlorine gas 7 g/L at 1 atm; a liquid no more than it holds itself (125 g/L).
 * INFINITY where we know none.
 */
double coil_feed_solubility_mg_per_l(enum coil_reagent reagent);

/* Water in which something dissolved while it stood. */
struct coil_still {
    double volume_l;
    double chlorine_g; /* dissolved, the pool's own not counted */
    bool is_saturated; /* more was there than dissolves */
    struct coil_feed_water water;
};

/*
 * Feeds that go on for some hours into standing water.
 *
 * fed       mol per h
 * hours     >= 0
 * volume_l  > 0; each reagent goes up to its solubility in it, a salt cell no further
 *           than the chloride that is there
 * out       untouched unless >= 0 is returned
 * Statuses of coil_feed_dissolve.
 */
enum coil_status coil_still_water(const struct coil_constants *constants,
                                  const struct coil_closed_water *pool,
                                  const struct coil_feed_sum *fed, double hours,
                                  double volume_l, struct coil_still *out);

/* What passes the heater on restart. */
struct coil_slug {
    double peak_mg_per_l; /* chlorine of the strongest water, the pool's own included */
    double chlorine_g;    /* the pool's own not counted */
    double seconds;       /* that it takes to pass at the heater's flow */
    struct coil_still still;
};

struct coil_line_still {
    int source_count; /* feeders that go on and can come to the heater */
    int unknown_count;
    double standing_l;          /* parts between them and the heater, it included */
    double close_l;             /* the feeders' own parts; 0: not known */
    bool has_close;             /* close is filled */
    double heater_flow_l_per_s; /* at restart */
    struct coil_slug spread;    /* evenly in all that stands: the longest slug */
    struct coil_slug close;     /* only in the feeders' own parts: the strongest slug */
};

/*
 * Some hours after the pump stopped in one position, and the restart in
 * restart_position.
 *
 * hours  >= 0
 * out    untouched unless >= 0 is returned
 *
 * Going on: what merely dissolves (erosion feeder, tablets), at the rate it had with
 * flow, which is more than standing water takes off; and driven feeders that are not
 * interlocked. Counted are those before the heater, and those after it whose
 * concentrate drifts back. How far it spreads in standing water is not known: both ends
 * are told. The slug moves as a plug; mixing on the way lowers its peak.
 *
 * Returns COIL_OK (all 0 when source_count is 0); COIL_ERR_DOMAIN when the parts that
 * hold the standing water have no known volume; else as coil_feed_dissolve and
 * coil_line_flow. Without flow at restart seconds are 0.
 */
enum coil_status coil_line_still(const struct coil_line *line, int position,
                                 int restart_position, double hours,
                                 const struct coil_constants *constants,
                                 const struct coil_closed_water *pool,
                                 struct coil_line_still *out);

/* What water may pass the heater. */
struct coil_feed_limits {
    double chlorine_mg_per_l; /* at most; > 0 */
    double ph_low;            /* at least; 0 to 14 */
};

/*
 * How long the line is flushed through the bypass before the heater may come in.
 *
 * still     the water that stood, from coil_line_still
 * flow_l_per_s  through the bypass, > 0
 * steady    water that comes once the line is flushed: pool water with what is fed all
 *           the time; NULL: pool water
 * out_seconds   untouched unless COIL_OK is returned
 *
 * The standing volume counts as one stirred tank, V/Q ln(1/share), where share is what
 * may be left of the still water in the steady water, by bisection on both limits;
 * never less than one change of the volume. A plug would be gone sooner.
 *
 * Returns COIL_OK; COIL_ERR_NO_SOLUTION when the steady water itself passes a limit:
 * the heater must stay out; COIL_ERR_NOT_FINITE; COIL_ERR_DOMAIN.
 */
enum coil_status coil_flush_seconds(const struct coil_constants *constants,
                                    const struct coil_closed_water *pool,
                                    const struct coil_still *still, double flow_l_per_s,
                                    const struct coil_closed_water *steady,
                                    const struct coil_feed_limits *limits,
                                    double *out_seconds);

#endif
