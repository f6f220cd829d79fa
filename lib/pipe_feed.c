/* Chlorine and pH in the line while feeders feed. See pipe_feed.h. */
#include "pipe_feed.h"

#include <math.h>
#include <string.h>

/* Litres per hour in one litre per second, and mg in a g. */
#define L_PER_H 3600.0
#define MG_PER_G 1000.0

double coil_reagent_chlorines(enum coil_reagent reagent)
{
    static const double CHLORINES[COIL_REAGENT_COUNT] = {
#define X(name, key, mass, alk, carbon, ca, na, cl, so4, b, cy, chlorine)              \
    [name] = chlorine,
        COIL_REAGENT_LIST(X)
#undef X
    };

    return (unsigned)reagent < COIL_REAGENT_COUNT ? CHLORINES[reagent] : 0.0;
}

static enum coil_status put_chlorine(enum coil_product product, double chlorine_g_per_h,
                                     struct coil_feed_rate *out)
{
    const struct coil_product_info *info = coil_product_info(product);
    struct coil_dose dose;
    enum coil_status status;

    if (info == NULL || !info->is_chlorine || !(info->strength_percent > 0.0))
        return COIL_ERR_UNKNOWN;
    /* As if dissolved in 1 m3, which is 1000 kg. */
    status = coil_dose_from_product(product,
                                    100.0 * chlorine_g_per_h / info->strength_percent,
                                    info->strength_percent, 1.0, &dose);
    if (status < 0)
        return status;
    out->chlorine_g_per_h = chlorine_g_per_h;
    out->count = dose.count;
    for (int i = 0; i < dose.count; i++) {
        out->reagent[i] = dose.parts[i].reagent;
        out->mol_per_h[i] = 1000.0 * dose.parts[i].mol_per_kg;
    }
    return COIL_OK;
}

static enum coil_status put_acid(enum coil_product product, double g_per_h,
                                 struct coil_feed_rate *out)
{
    switch ((int)product) {
    case COIL_HYDROCHLORIC_ACID:
        out->reagent[0] = COIL_REAGENT_HCL;
        break;
    case COIL_SODIUM_BISULFATE:
        out->reagent[0] = COIL_REAGENT_NAHSO4;
        break;
    case COIL_CARBON_DIOXIDE:
        out->reagent[0] = COIL_REAGENT_CO2;
        break;
    default:
        return COIL_ERR_UNKNOWN;
    }
    out->count = 1;
    out->mol_per_h[0] = g_per_h / coil_reagent_g_per_mol(out->reagent[0]);
    return COIL_OK;
}

static void put_salt_cell(const struct coil_feed *feed, struct coil_feed_rate *out)
{
    out->chlorine_g_per_h = feed->basis == COIL_FEED_RATE
                                ? feed->rate_g_per_h
                                : COIL_FARADAY_G_PER_AH * feed->current_a *
                                      feed->cell_count * feed->efficiency_fraction;
    out->count = 1;
    out->reagent[0] = COIL_REAGENT_NAOCL;
    out->mol_per_h[0] = out->chlorine_g_per_h / COIL_CHLORINE_G_PER_MOL;
    out->makes_from_salt = true;
}

enum coil_status coil_feed_rate(const struct coil_part *part,
                                struct coil_feed_rate *out)
{
    const struct coil_feed *feed = &part->feed;
    enum coil_source source = coil_part_source(part->kind);
    struct coil_feed_rate rate;
    enum coil_status status = COIL_OK;

    memset(&rate, 0, sizeof rate);
    if (source != COIL_SOURCE_CHLORINE && source != COIL_SOURCE_ACID) {
        *out = rate;
        return COIL_OK;
    }
    if (feed->basis == COIL_FEED_UNKNOWN)
        return COIL_ERR_UNKNOWN;
    if (part->kind == COIL_PART_SALT_CELL)
        put_salt_cell(feed, &rate);
    else if (source == COIL_SOURCE_ACID)
        status = put_acid(feed->product, feed->rate_g_per_h, &rate);
    else if (feed->basis == COIL_FEED_RATE)
        status = put_chlorine(feed->product, feed->rate_g_per_h, &rate);
    else
        status = put_chlorine(feed->product,
                              (feed->before_g - feed->after_g) *
                                  (feed->strength_percent / 100.0) /
                                  (feed->interval_s / 3600.0),
                              &rate);
    if (status == COIL_OK)
        *out = rate;
    return status;
}

void coil_feed_sum_add(struct coil_feed_sum *sum, const struct coil_feed_rate *rate,
                       double times)
{
    for (int i = 0; i < rate->count; i++)
        sum->mol[rate->reagent[i]] += times * rate->mol_per_h[i];
    if (rate->makes_from_salt)
        sum->from_salt_mol += times * rate->mol_per_h[0];
}

double coil_feed_sum_chlorine_g(const struct coil_feed_sum *sum)
{
    double mol = 0.0;

    for (int i = 0; i < COIL_REAGENT_COUNT; i++)
        mol += coil_reagent_chlorines((enum coil_reagent)i) * sum->mol[i];
    return mol * COIL_CHLORINE_G_PER_MOL;
}

/* Below COIL_STRONG_CYANURATE_PH the older, complete set takes over [obrien-1974]. */
static enum coil_status solve_strong(const struct coil_constants *constants,
                                     const struct coil_closed_water *water,
                                     struct coil_equilibrium *out)
{
    struct coil_constants complete = *constants;
    enum coil_status status = coil_cyanurate_constants_at(
        constants->temp_c, COIL_CYANURATE_OBRIEN_1974, &complete.cyanurate);

    return status < 0 ? status : coil_closed_solve(&complete, water, out);
}

/* Solves what is there; a water too strong for the model keeps its chlorine only. */
static enum coil_status solve(const struct coil_constants *constants,
                              struct coil_feed_water *water)
{
    struct coil_equilibrium solved;
    enum coil_status status;

    water->chlorine_mg_per_l =
        water->closed.totals.chlorine_mol_per_kg * COIL_CHLORINE_G_PER_MOL * MG_PER_G;
    status = coil_closed_solve(constants, &water->closed, &solved);
    if (status >= 0 && solved.ph < COIL_STRONG_CYANURATE_PH &&
        coil_cyanurate_lacks_strong(constants->cyanurate.source) &&
        water->closed.totals.cyanurate_mol_per_kg > 0.0)
        status = solve_strong(constants, &water->closed, &solved);
    if (status == COIL_ERR_NOT_FINITE)
        return status;
    water->has_ph = status >= 0;
    water->is_extrapolated = status != COIL_OK;
    if (water->has_ph) {
        water->ph = solved.ph;
        water->hocl_mg_per_l =
            solved.hocl_mol_per_kg * COIL_CHLORINE_G_PER_MOL * MG_PER_G;
    }
    return status == COIL_OK ? COIL_OK : COIL_WARN_RANGE;
}

/* A salt cell uses up salt; only ionic strength feels it, so that a pool whose salt
 * nobody told is no reason to refuse. */
static enum coil_status take_salt(struct coil_closed_water *water, double mol_per_kg)
{
    double most =
        fmin(water->totals.chloride_mol_per_kg, water->totals.sodium_mol_per_kg);

    return coil_dose_take(water, COIL_REAGENT_NACL, fmin(mol_per_kg, most), water);
}

enum coil_status coil_feed_dissolve(const struct coil_constants *constants,
                                    const struct coil_closed_water *pool,
                                    const struct coil_feed_sum *sum, double litres,
                                    struct coil_feed_water *out)
{
    struct coil_feed_water water;
    enum coil_status status = COIL_OK;

    if (!isfinite(litres))
        return COIL_ERR_NOT_FINITE;
    if (!(litres > 0.0))
        return COIL_ERR_DOMAIN;
    memset(&water, 0, sizeof water);
    water.closed = *pool;
    for (int i = 0; sum != NULL && i < COIL_REAGENT_COUNT && status == COIL_OK; i++)
        if (sum->mol[i] != 0.0)
            status = coil_dose_add(&water.closed, (enum coil_reagent)i,
                                   sum->mol[i] / litres, &water.closed);
    if (status == COIL_OK && sum != NULL && sum->from_salt_mol > 0.0)
        status = take_salt(&water.closed, sum->from_salt_mol / litres);
    if (status != COIL_OK)
        return status;
    status = solve(constants, &water);
    if (status >= 0)
        *out = water;
    return status;
}

/* Rates of all parts; counts those that are not known. */
static int gather(const struct coil_line *line, struct coil_feed_rate *rates)
{
    int unknown = 0;

    memset(rates, 0, COIL_LINE_PARTS_MAX * sizeof *rates);
    for (int i = 0; i < line->part_count; i++)
        unknown += coil_feed_rate(&line->parts[i], &rates[i]) != COIL_OK;
    return unknown;
}

/* The pool's feeders are not in the line. */
static bool is_in_line(const struct coil_line *line, int part)
{
    return coil_part_role(line->parts[part].kind) != COIL_ROLE_POOL;
}

static int heater_of(const struct coil_line *line)
{
    for (int i = 0; i < line->part_count; i++)
        if (line->parts[i].kind == COIL_PART_HEATER)
            return i;
    return -1;
}

/* Carries each reagent on its own and sums what arrives at the heater, mol per h. */
static enum coil_status carry_to_heater(const struct coil_line *line, int position,
                                        const struct coil_line_flow *flow,
                                        const struct coil_feed_rate *rates,
                                        struct coil_feed_sum *out)
{
    int heater = heater_of(line);
    double mol_per_h[COIL_LINE_PARTS_MAX];
    struct coil_line_carry carry;

    memset(out, 0, sizeof *out);
    for (int reagent = 0; reagent <= COIL_REAGENT_COUNT; reagent++) {
        bool any = false;
        enum coil_status status;

        for (int i = 0; i < line->part_count; i++) {
            mol_per_h[i] = 0.0;
            for (int k = 0; k < rates[i].count; k++)
                if ((int)rates[i].reagent[k] == reagent)
                    mol_per_h[i] += rates[i].mol_per_h[k];
            if (reagent == COIL_REAGENT_COUNT && rates[i].makes_from_salt)
                mol_per_h[i] = rates[i].mol_per_h[0];
            any = any || (mol_per_h[i] > 0.0 && is_in_line(line, i));
        }
        if (!any)
            continue;
        status = coil_line_carry(line, position, flow, mol_per_h, &carry);
        if (status != COIL_OK)
            return status;
        if (reagent < COIL_REAGENT_COUNT)
            out->mol[reagent] = carry.part_in[heater];
        else
            out->from_salt_mol = carry.part_in[heater];
    }
    return COIL_OK;
}

enum coil_status coil_line_feed(const struct coil_line *line, int position,
                                const struct coil_constants *constants,
                                const struct coil_closed_water *pool,
                                struct coil_line_feed *out)
{
    struct coil_feed_rate rates[COIL_LINE_PARTS_MAX];
    double chlorine_g_per_h[COIL_LINE_PARTS_MAX] = {0.0};
    struct coil_line_flow flow;
    struct coil_feed_sum sum;
    struct coil_line_feed feed;
    int heater = heater_of(line);
    enum coil_status status = coil_line_flow(line, position, &flow);

    if (status != COIL_OK)
        return status;
    memset(&feed, 0, sizeof feed);
    feed.unknown_count = gather(line, rates);
    for (int i = 0; i < line->part_count; i++) {
        if (is_in_line(line, i))
            chlorine_g_per_h[i] = rates[i].chlorine_g_per_h;
        feed.fed_g_per_h += chlorine_g_per_h[i];
    }
    status = coil_line_carry(line, position, &flow, chlorine_g_per_h, &feed.chlorine);
    if (status == COIL_OK)
        status = carry_to_heater(line, position, &flow, rates, &sum);
    if (status != COIL_OK)
        return status;
    feed.heater_flow_l_per_s = flow.part_l_per_s[heater];
    feed.to_heater_g_per_h = feed.chlorine.part_in[heater];
    feed.held_g_per_h = feed.chlorine.held;
    if (feed.heater_flow_l_per_s > 0.0) {
        double l_per_h = L_PER_H * feed.heater_flow_l_per_s;

        feed.has_water = true;
        feed.added_mg_per_l = MG_PER_G * feed.to_heater_g_per_h / l_per_h;
        status = coil_feed_dissolve(constants, pool, &sum, l_per_h, &feed.water);
    }
    if (status >= 0)
        *out = feed;
    return status;
}
