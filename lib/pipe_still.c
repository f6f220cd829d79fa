/* What stands in the line after the pump stops, and the restart. See pipe_feed.h. */
#include "pipe_feed.h"

#include <math.h>
#include <string.h>

#include "line_private.h"

/* g of product per litre near 25 degC, from memory, as chlorine of the pure substance.
 */
#define TRICHLOR_G_PER_L 12.0
#define DICHLOR_G_PER_L 240.0
#define CALCIUM_HYPOCHLORITE_G_PER_L 210.0
#define CHLORINE_GAS_G_PER_L 7.0
#define LIQUID_CHLORINE_G_PER_L 125.0 /* trade strength 12.5 %, common practice */

double coil_feed_solubility_mg_per_l(enum coil_reagent reagent)
{
    double cl2 = COIL_CHLORINE_G_PER_MOL;

    switch ((int)reagent) {
    case COIL_REAGENT_TRICHLOR:
        return 1000.0 * TRICHLOR_G_PER_L * 3.0 * cl2 / coil_reagent_g_per_mol(reagent);
    case COIL_REAGENT_DICHLOR:
        return 1000.0 * DICHLOR_G_PER_L * 2.0 * cl2 / coil_reagent_g_per_mol(reagent);
    case COIL_REAGENT_CAOCL2:
        return 1000.0 * CALCIUM_HYPOCHLORITE_G_PER_L * 2.0 * cl2 /
               coil_reagent_g_per_mol(reagent);
    case COIL_REAGENT_CL2:
        return 1000.0 * CHLORINE_GAS_G_PER_L;
    case COIL_REAGENT_NAOCL:
        return 1000.0 * LIQUID_CHLORINE_G_PER_L;
    default:
        return INFINITY;
    }
}

/* A salt cell cannot turn more chloride than there is. */
static void cap_by_salt(struct coil_feed_sum *sum, const struct coil_closed_water *pool,
                        double volume_l, bool *out_is_capped)
{
    double salt_mol = volume_l * fmin(pool->totals.chloride_mol_per_kg,
                                      pool->totals.sodium_mol_per_kg);

    if (!(sum->from_salt_mol > salt_mol))
        return;
    sum->mol[COIL_REAGENT_NAOCL] -= sum->from_salt_mol - salt_mol;
    sum->from_salt_mol = salt_mol;
    *out_is_capped = true;
}

enum coil_status coil_still_water(const struct coil_constants *constants,
                                  const struct coil_closed_water *pool,
                                  const struct coil_feed_sum *fed, double hours,
                                  double volume_l, struct coil_still *out)
{
    struct coil_feed_sum sum;
    struct coil_still still;
    enum coil_status status;

    if (!isfinite(hours) || !isfinite(volume_l))
        return COIL_ERR_NOT_FINITE;
    if (!(hours >= 0.0 && volume_l > 0.0))
        return COIL_ERR_DOMAIN;
    memset(&still, 0, sizeof still);
    still.volume_l = volume_l;
    for (int i = 0; i < COIL_REAGENT_COUNT; i++)
        sum.mol[i] = hours * fed->mol[i];
    sum.from_salt_mol = hours * fed->from_salt_mol;
    cap_by_salt(&sum, pool, volume_l, &still.is_saturated);
    for (int i = 0; i < COIL_REAGENT_COUNT; i++) {
        enum coil_reagent reagent = (enum coil_reagent)i;
        double most_mol =
            volume_l * coil_feed_solubility_mg_per_l(reagent) /
            (1000.0 * COIL_CHLORINE_G_PER_MOL * coil_reagent_chlorines(reagent));

        if (isfinite(most_mol) && sum.mol[i] > most_mol) {
            sum.mol[i] = most_mol;
            still.is_saturated = true;
        }
    }
    still.chlorine_g = coil_feed_sum_chlorine_g(&sum);
    status = coil_feed_dissolve(constants, pool, &sum, volume_l, &still.water);
    if (status >= 0)
        *out = still;
    return status;
}

/* Does this feeder go on when the pump stands? */
static bool goes_on(const struct coil_part *part)
{
    switch (part->kind) {
    case COIL_PART_EROSION_FEEDER:
    case COIL_PART_SKIMMER_TABLETS:
    case COIL_PART_STRAINER_TABLETS:
        return true;
    case COIL_PART_SALT_CELL:
    case COIL_PART_CHLORINE_INJECTION:
    case COIL_PART_ACID_INJECTION:
        return !part->is_interlocked;
    default:
        return false;
    }
}

/* Feeders that go on, what they feed, and the parts between them and the heater. */
static void gather_still(const struct coil_line *line, int position,
                         struct coil_line_still *still, struct coil_feed_sum *fed)
{
    struct coil_view view;
    struct coil_open open;
    struct coil_reach down, drift;
    struct coil_part_set standing = {{false}};

    coil_view_init(&view, line);
    coil_open_of_position(line, &line->positions[position], &open);
    coil_search_from(&view, &open, COIL_WALK_UP, view.heater, NULL, &down);
    coil_search_from(&view, &open, COIL_WALK_DRIFT_TO, view.heater, NULL, &drift);
    for (int i = 0; i < line->part_count; i++) {
        int part = view.part[i];
        const struct coil_reach *reach = coil_reached(&down, part) ? &down : &drift;
        struct coil_feed_rate rate;
        uint8_t path[COIL_LINE_PARTS_MAX];
        int length;

        if (!goes_on(&line->parts[part]) || !coil_reached(reach, part))
            continue;
        still->source_count++;
        if (coil_feed_rate(&line->parts[part], &rate) != COIL_OK) {
            still->unknown_count++;
            continue;
        }
        coil_feed_sum_add(fed, &rate, 1.0);
        still->close_l += coil_part_volume_l(&line->parts[part]);
        length = coil_path_to_start(reach, part, path);
        for (int k = 0; k < length; k++)
            standing.has[path[k]] = true;
    }
    for (int i = 0; i < line->part_count; i++)
        if (standing.has[i])
            still->standing_l += coil_part_volume_l(&line->parts[i]);
}

static enum coil_status put_slug(const struct coil_constants *constants,
                                 const struct coil_closed_water *pool,
                                 const struct coil_feed_sum *fed, double hours,
                                 double volume_l, double flow_l_per_s,
                                 struct coil_slug *out)
{
    enum coil_status status =
        coil_still_water(constants, pool, fed, hours, volume_l, &out->still);

    if (status < 0)
        return status;
    out->peak_mg_per_l = out->still.water.chlorine_mg_per_l;
    out->chlorine_g = out->still.chlorine_g;
    out->seconds = flow_l_per_s > 0.0 ? volume_l / flow_l_per_s : 0.0;
    return status;
}

enum coil_status coil_line_still(const struct coil_line *line, int position,
                                 int restart_position, double hours,
                                 const struct coil_constants *constants,
                                 const struct coil_closed_water *pool,
                                 struct coil_line_still *out)
{
    struct coil_line_still still;
    struct coil_feed_sum fed;
    struct coil_line_flow flow;
    enum coil_status status, other = COIL_OK;

    if (!isfinite(hours))
        return COIL_ERR_NOT_FINITE;
    if (position < 0 || position >= line->position_count || !(hours >= 0.0))
        return COIL_ERR_DOMAIN;
    status = coil_line_flow(line, restart_position, &flow);
    if (status != COIL_OK)
        return status;
    memset(&still, 0, sizeof still);
    memset(&fed, 0, sizeof fed);
    gather_still(line, position, &still, &fed);
    for (int i = 0; i < line->part_count; i++)
        if (line->parts[i].kind == COIL_PART_HEATER)
            still.heater_flow_l_per_s = flow.part_l_per_s[i];
    if (still.source_count > still.unknown_count) {
        status = put_slug(constants, pool, &fed, hours, still.standing_l,
                          still.heater_flow_l_per_s, &still.spread);
        still.has_close = still.close_l > 0.0;
        if (status >= 0 && still.has_close)
            other = put_slug(constants, pool, &fed, hours, still.close_l,
                             still.heater_flow_l_per_s, &still.close);
    }
    if (status < 0)
        return status;
    if (other < 0)
        return other;
    *out = still;
    return status > other ? status : other;
}

/* May this much of the still water be in the steady water? */
static bool may_pass(const struct coil_constants *constants,
                     const struct coil_closed_water *steady,
                     const struct coil_closed_water *still, double share,
                     const struct coil_feed_limits *limits)
{
    struct coil_closed_water mixed;
    struct coil_equilibrium solved;

    return coil_water_mix(steady, still, share, &mixed) == COIL_OK &&
           mixed.totals.chlorine_mol_per_kg * COIL_CHLORINE_G_PER_MOL * 1000.0 <=
               limits->chlorine_mg_per_l &&
           coil_closed_solve(constants, &mixed, &solved) >= 0 &&
           solved.ph >= limits->ph_low;
}

enum coil_status coil_flush_seconds(const struct coil_constants *constants,
                                    const struct coil_closed_water *pool,
                                    const struct coil_still *still, double flow_l_per_s,
                                    const struct coil_closed_water *steady,
                                    const struct coil_feed_limits *limits,
                                    double *out_seconds)
{
    double low = 0.0, high = 1.0, seconds; /* share: low may pass, high may not */

    if (!isfinite(flow_l_per_s) || !isfinite(still->volume_l) ||
        !isfinite(limits->chlorine_mg_per_l) || !isfinite(limits->ph_low))
        return COIL_ERR_NOT_FINITE;
    if (!(flow_l_per_s > 0.0 && still->volume_l > 0.0 &&
          limits->chlorine_mg_per_l > 0.0 && limits->ph_low >= 0.0 &&
          limits->ph_low <= 14.0))
        return COIL_ERR_DOMAIN;
    if (steady == NULL)
        steady = pool;
    if (!may_pass(constants, steady, &still->water.closed, 0.0, limits))
        return COIL_ERR_NO_SOLUTION;
    seconds = still->volume_l / flow_l_per_s;
    if (!may_pass(constants, steady, &still->water.closed, 1.0, limits)) {
        for (int i = 0; i < 60; i++) {
            double middle = 0.5 * (low + high);

            if (may_pass(constants, steady, &still->water.closed, middle, limits))
                low = middle;
            else
                high = middle;
        }
        /* high is above 0 even when no share passes: 2^-60 of it is nothing at all. */
        seconds *= fmax(1.0, -log(high));
    }
    *out_seconds = seconds;
    return COIL_OK;
}
