/*
 * The permit's rules, one row each at the end of this file. A rule adds a finding when
 * it has something to say and stays silent otherwise.
 */
#include "permit_private.h"

#include <math.h>

#include "composition.h"
#include "exposure.h"
#include "film.h"
#include "saturation_band.h"

static struct coil_finding *add(struct coil_verdict *verdict,
                                const struct coil_rule *rule, enum coil_permit permit)
{
    struct coil_finding *finding;

    /* The table is shorter than the room for findings: see the test of its length. */
    if (verdict->finding_count == COIL_FINDINGS_MAX)
        verdict->finding_count--;
    finding = &verdict->findings[verdict->finding_count++];
    *finding = (struct coil_finding){
        .rule = rule->name, .side = rule->side, .permit = permit, .age_s = -1};
    return finding;
}

static void put_measure(struct coil_finding *finding, enum coil_quantity quantity,
                        const struct coil_measure *measure, int64_t now_s)
{
    finding->has_value = true;
    finding->quantity = quantity;
    finding->value = measure->value;
    finding->day_only = measure->day_only;
    finding->age_s = now_s - measure->at_s;
}

static void put_limit(struct coil_finding *finding, const struct coil_limit *limit)
{
    finding->has_limit = true;
    finding->limit = limit->value;
    finding->limit_source = limit->source;
}

static const struct coil_limit *sanitiser_limit(const struct coil_context *context)
{
    return &context->facts->limits[context->sanitiser.quantity == COIL_BROMINE
                                       ? COIL_LIMIT_BROMINE_HIGH
                                       : COIL_LIMIT_FREE_CHLORINE_HIGH];
}

/* Only a water in use asks for tests; a winter-closed one pauses them. */
static bool asks_for_tests(const struct coil_context *context,
                           const struct coil_standing *standing)
{
    return standing->is_needed && !context->facts->winter_closed;
}

/* ---- clock ---- */

static void clock_jumped(const struct coil_context *context,
                         const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->facts->clock == COIL_CLOCK_JUMPED)
        add(verdict, rule, COIL_TEST);
}

static void clock_behind(const struct coil_context *context,
                         const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->facts->clock == COIL_CLOCK_BEHIND)
        add(verdict, rule, COIL_TEST);
}

/* ---- holds of the water ---- */

/* However long ago it was begun: only a test or a person ends it. */
static void plan_running(const struct coil_context *context,
                         const struct coil_rule *rule, struct coil_verdict *verdict)
{
    int64_t started_at_s = context->facts->plan_started_at_s;

    if (started_at_s != 0)
        add(verdict, rule, COIL_HOLD)->age_s = context->facts->now_s - started_at_s;
}

static bool chlorine_is_high(const struct coil_context *context)
{
    return context->sanitiser.is_needed && context->sanitiser.is_above;
}

static void low_ph_and_high_sanitiser(const struct coil_context *context,
                                      const struct coil_rule *rule,
                                      struct coil_verdict *verdict)
{
    if (context->ph.is_below && chlorine_is_high(context))
        add(verdict, rule, COIL_HOLD);
}

static void ph_low(const struct coil_context *context, const struct coil_rule *rule,
                   struct coil_verdict *verdict)
{
    const struct coil_limit *limit = &context->facts->limits[COIL_LIMIT_PH_LOW];
    struct coil_finding *finding;

    if (!context->ph.is_below)
        return;
    finding = add(verdict, rule, COIL_HOLD);
    put_measure(finding, COIL_PH, &context->ph.value, context->facts->now_s);
    put_limit(finding, limit);
    finding->factor = pow(10.0, limit->value - context->ph.value.value);
}

static void ph_over_manual(const struct coil_context *context,
                           const struct coil_rule *rule, struct coil_verdict *verdict)
{
    struct coil_finding *finding;

    if (!context->ph.is_above)
        return;
    finding = add(verdict, rule, COIL_HOLD);
    put_measure(finding, COIL_PH, &context->ph.value, context->facts->now_s);
    put_limit(finding, &context->facts->limits[COIL_LIMIT_PH_HIGH]);
}

static void sanitiser_high(const struct coil_context *context,
                           const struct coil_rule *rule, struct coil_verdict *verdict,
                           enum coil_quantity quantity)
{
    const struct coil_limit *limit = sanitiser_limit(context);
    struct coil_finding *finding;

    if (!chlorine_is_high(context) || context->sanitiser.quantity != quantity)
        return;
    finding = add(verdict, rule, COIL_HOLD);
    put_measure(finding, quantity, &context->sanitiser.value, context->facts->now_s);
    put_limit(finding, limit);
    if (limit->value > 0.0)
        finding->factor = context->sanitiser.value.value / limit->value;
}

static void free_chlorine_high(const struct coil_context *context,
                               const struct coil_rule *rule,
                               struct coil_verdict *verdict)
{
    sanitiser_high(context, rule, verdict, COIL_FREE_CHLORINE);
}

static void bromine_high(const struct coil_context *context,
                         const struct coil_rule *rule, struct coil_verdict *verdict)
{
    sanitiser_high(context, rule, verdict, COIL_BROMINE);
}

/* ---- tests that are due: each for pH and for the sanitiser ---- */

static void missing(const struct coil_context *context, const struct coil_rule *rule,
                    struct coil_verdict *verdict, const struct coil_standing *standing)
{
    struct coil_finding *finding;

    if (!asks_for_tests(context, standing) || standing->is_known ||
        standing->is_doubted)
        return;
    finding = add(verdict, rule, COIL_TEST);
    finding->quantity = standing->quantity;
}

static void doubted(const struct coil_context *context, const struct coil_rule *rule,
                    struct coil_verdict *verdict, const struct coil_standing *standing)
{
    if (asks_for_tests(context, standing) && standing->is_doubted)
        put_measure(add(verdict, rule, COIL_TEST), standing->quantity,
                    &standing->doubted, context->facts->now_s);
}

/* A value in the band that no longer counts. Outside the band it holds, however old. */
static void ended(const struct coil_context *context, const struct coil_rule *rule,
                  struct coil_verdict *verdict, const struct coil_standing *standing,
                  enum coil_end ends)
{
    if (asks_for_tests(context, standing) && standing->is_known &&
        !standing->is_below && !standing->is_above && standing->ends == ends &&
        context->facts->now_s >= standing->valid_until_s)
        put_measure(add(verdict, rule, COIL_TEST), standing->quantity, &standing->value,
                    context->facts->now_s);
}

#define FOR_BOTH(kind)                                                                 \
    static void ph_##kind(const struct coil_context *context,                          \
                          const struct coil_rule *rule, struct coil_verdict *verdict)  \
    {                                                                                  \
        kind(context, rule, verdict, &context->ph);                                    \
    }                                                                                  \
    static void sanitiser_##kind(const struct coil_context *context,                   \
                                 const struct coil_rule *rule,                         \
                                 struct coil_verdict *verdict)                         \
    {                                                                                  \
        kind(context, rule, verdict, &context->sanitiser);                             \
    }

static void after_dose(const struct coil_context *context, const struct coil_rule *rule,
                       struct coil_verdict *verdict,
                       const struct coil_standing *standing)
{
    ended(context, rule, verdict, standing, COIL_ENDS_BY_DOSE);
}

static void old(const struct coil_context *context, const struct coil_rule *rule,
                struct coil_verdict *verdict, const struct coil_standing *standing)
{
    ended(context, rule, verdict, standing, COIL_ENDS_BY_AGE);
}

static void old_at_wall(const struct coil_context *context,
                        const struct coil_rule *rule, struct coil_verdict *verdict,
                        const struct coil_standing *standing)
{
    ended(context, rule, verdict, standing, COIL_ENDS_AT_WALL);
}

static void may_have_left(const struct coil_context *context,
                          const struct coil_rule *rule, struct coil_verdict *verdict,
                          const struct coil_standing *standing)
{
    ended(context, rule, verdict, standing, COIL_ENDS_BY_FORECAST);
}

FOR_BOTH(missing)
FOR_BOTH(doubted)
FOR_BOTH(after_dose)
FOR_BOTH(old)
FOR_BOTH(old_at_wall)
FOR_BOTH(may_have_left)

/* ---- the burner ---- */

static void winter_closed(const struct coil_context *context,
                          const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->facts->winter_closed)
        add(verdict, rule, COIL_HOLD);
}

static void put_state_age(const struct coil_context *context,
                          struct coil_finding *finding)
{
    if (context->facts->heater_state_at_s != 0)
        finding->age_s = context->facts->now_s - context->facts->heater_state_at_s;
}

static void heater_drained(const struct coil_context *context,
                           const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->facts->heater_state == COIL_HEATER_DRAINED)
        put_state_age(context, add(verdict, rule, COIL_HOLD));
}

/* A heater that is shut off from the flow must never fire. */
static void heater_off_line(const struct coil_context *context,
                            const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->facts->heater_state == COIL_HEATER_OFF_LINE_FLUSHED ||
        context->facts->heater_state == COIL_HEATER_OFF_LINE_STANDING)
        put_state_age(context, add(verdict, rule, COIL_HOLD));
}

/* Acid and strong at once in a heater that water reaches, as tested last: the same bar as
 * for an event of the past. */
static bool is_severe_now(const struct coil_context *context)
{
    const struct coil_permit_facts *facts = context->facts;
    enum coil_exposure_cause cause = COIL_EXPOSURE_LOW_PH;

    return facts->sanitiser != COIL_SANITISER_BROMINE && context->ph.is_below &&
           chlorine_is_high(context) &&
           (facts->heater_state == COIL_HEATER_IN_LINE ||
            facts->heater_state == COIL_HEATER_OFF_LINE_STANDING) &&
           coil_exposure_severity(
               context->ph.value.value, context->sanitiser.value.value,
               facts->limits[COIL_LIMIT_PH_LOW].value,
               facts->limits[COIL_LIMIT_FREE_CHLORINE_HIGH].value,
               &cause) >= COIL_EXPOSURE_SEVERE;
}

/* Until a technician has looked at it after the event and said that it may run. */
static void exposure_severe(const struct coil_context *context,
                            const struct coil_rule *rule, struct coil_verdict *verdict)
{
    const struct coil_permit_facts *facts = context->facts;
    int64_t at_s =
        is_severe_now(context) ? facts->now_s : facts->severe_exposure_until_s;

    if (at_s != 0 && at_s >= facts->inspected_at_s)
        add(verdict, rule, COIL_HOLD)->age_s = facts->now_s - at_s;
}

static void inspection_failed(const struct coil_context *context,
                              const struct coil_rule *rule,
                              struct coil_verdict *verdict)
{
    const struct coil_permit_facts *facts = context->facts;

    if (facts->inspected_at_s != 0 && !facts->inspection_may_run)
        add(verdict, rule, COIL_HOLD)->age_s = facts->now_s - facts->inspected_at_s;
}

/* What was seen, smelled or measured at the burner: only a technician's test ends it. */
static void alarm_since(const struct coil_context *context,
                        const struct coil_rule *rule, struct coil_verdict *verdict,
                        int64_t at_s)
{
    if (at_s != 0)
        add(verdict, rule, COIL_HOLD)->age_s = context->facts->now_s - at_s;
}

static void gas_smell(const struct coil_context *context, const struct coil_rule *rule,
                      struct coil_verdict *verdict)
{
    alarm_since(context, rule, verdict, context->facts->gas_smell_at_s);
}

/* 400 ppm air-free [ansi-z21], second-hand. */
static void flue_co_high(const struct coil_context *context,
                         const struct coil_rule *rule, struct coil_verdict *verdict)
{
    alarm_since(context, rule, verdict, context->facts->co_high_at_s);
}

static void flame_rollout(const struct coil_context *context,
                          const struct coil_rule *rule, struct coil_verdict *verdict)
{
    alarm_since(context, rule, verdict, context->facts->rollout_at_s);
}

static void soot_seen(const struct coil_context *context, const struct coil_rule *rule,
                      struct coil_verdict *verdict)
{
    alarm_since(context, rule, verdict, context->facts->soot_at_s);
}

static void spa_too_hot(const struct coil_context *context,
                        const struct coil_rule *rule, struct coil_verdict *verdict)
{
    const struct coil_history *history = &context->facts->history[COIL_WATER_TEMP];
    const struct coil_limit *limit = &context->facts->limits[COIL_LIMIT_SPA_TEMP_HIGH];
    struct coil_finding *finding;

    if (!context->facts->is_spa || !limit->is_set || history->count == 0 ||
        !(history->newest[0].value > limit->value))
        return;
    finding = add(verdict, rule, COIL_HOLD);
    put_measure(finding, COIL_WATER_TEMP, &history->newest[0], context->facts->now_s);
    put_limit(finding, limit);
}

/* ---- the line: what stands before the heater, and what it does to the flow ---- */

/* Both sides alike: the rule's own side says which faults. */
static void line_fault(const struct coil_context *context, const struct coil_rule *rule,
                       struct coil_verdict *verdict)
{
    if (context->facts->line_stops[rule->side].count > 0)
        add(verdict, rule, COIL_HOLD);
}

/* ---- cautions: beside the headline, never in it ---- */

static const struct coil_measure *newest(const struct coil_context *context,
                                         enum coil_quantity quantity)
{
    const struct coil_history *history = &context->facts->history[quantity];

    return history->count > 0 ? &history->newest[0] : NULL;
}

static void caution_of(const struct coil_context *context, const struct coil_rule *rule,
                       struct coil_verdict *verdict, enum coil_quantity quantity,
                       double limit)
{
    const struct coil_limit practice = {true, limit, COIL_COMMON_PRACTICE};
    struct coil_finding *finding = add(verdict, rule, COIL_RUN);

    finding->is_caution = true;
    put_measure(finding, quantity, newest(context, quantity), context->facts->now_s);
    put_limit(finding, &practice);
}

static void caution_above(const struct coil_context *context,
                          const struct coil_rule *rule, struct coil_verdict *verdict,
                          enum coil_quantity quantity, double limit)
{
    const struct coil_measure *m = newest(context, quantity);

    if (m != NULL && m->value > limit)
        caution_of(context, rule, verdict, quantity, limit);
}

static void caution_below(const struct coil_context *context,
                          const struct coil_rule *rule, struct coil_verdict *verdict,
                          enum coil_quantity quantity, double limit)
{
    const struct coil_measure *m = newest(context, quantity);

    if (m != NULL && m->value < limit)
        caution_of(context, rule, verdict, quantity, limit);
}

static void cleaning_overdue(const struct coil_context *context,
                             const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->facts->cleaning_overdue)
        add(verdict, rule, COIL_RUN)->is_caution = true;
}

static void standing_water(const struct coil_context *context,
                           const struct coil_rule *rule, struct coil_verdict *verdict)
{
    struct coil_finding *finding;

    if (context->facts->heater_state != COIL_HEATER_OFF_LINE_STANDING)
        return;
    finding = add(verdict, rule, COIL_RUN);
    finding->is_caution = true;
    put_state_age(context, finding);
}

/* What harms when the pump stops or a valve is shut. */
static void line_risk(const struct coil_context *context, const struct coil_rule *rule,
                      struct coil_verdict *verdict)
{
    if (context->facts->line_risks.count > 0)
        add(verdict, rule, COIL_RUN)->is_caution = true;
}

static void clock_unsynchronised(const struct coil_context *context,
                                 const struct coil_rule *rule,
                                 struct coil_verdict *verdict)
{
    if (context->facts->clock == COIL_CLOCK_UNSYNCHRONISED)
        add(verdict, rule, COIL_RUN)->is_caution = true;
}

/* Scale, not attack: a wall only when the manual has one (then ph_over_manual speaks).
 * 7.8: MAHC, Montana 37.115.1308 [limits of pool codes]. */
static void ph_high(const struct coil_context *context, const struct coil_rule *rule,
                    struct coil_verdict *verdict)
{
    if (!context->ph.is_above)
        caution_above(context, rule, verdict, COIL_PH, 7.8);
}

/* Bathers' matter: 1 mg/L of free chlorine [mahc, Montana asks for 2]; bromine 2 mg/L
 * (common practice, no source). */
static void sanitiser_low(const struct coil_context *context,
                          const struct coil_rule *rule, struct coil_verdict *verdict)
{
    if (context->sanitiser.is_needed && !context->facts->winter_closed &&
        !context->sanitiser.is_doubted)
        caution_below(context, rule, verdict, context->sanitiser.quantity,
                      context->sanitiser.quantity == COIL_BROMINE ? 2.0 : 1.0);
}

/* 80 mg/L: [mil-hdbk-1027-4a]; below it pH swings and may turn acid unseen. */
static void alkalinity_low(const struct coil_context *context,
                           const struct coil_rule *rule, struct coil_verdict *verdict)
{
    caution_below(context, rule, verdict, COIL_TOTAL_ALKALINITY, 80.0);
}

/* 0.5 mg/L: Montana 37.115.1308. Monopersulfate reads as combined chlorine. */
static void combined_chlorine_high(const struct coil_context *context,
                                   const struct coil_rule *rule,
                                   struct coil_verdict *verdict)
{
    const struct coil_permit_facts *facts = context->facts;
    size_t i;

    for (i = 0; i < facts->dose_count; i++)
        if (facts->doses[i].product == COIL_MONOPERSULFATE &&
            facts->now_s - facts->doses[i].at_s <= COIL_INTERFERENCE_S)
            return;
    caution_above(context, rule, verdict, COIL_COMBINED_CHLORINE, 0.5);
}

/* 0.2 mg/L: where stains begin (common practice, from memory). Says: something gives
 * off copper. No index and no value here says that copper is safe. */
static void copper_present(const struct coil_context *context,
                           const struct coil_rule *rule, struct coil_verdict *verdict)
{
    caution_above(context, rule, verdict, COIL_COPPER, 0.2);
}

/* 90 mg/L: MAHC. */
static void cyanuric_acid_high(const struct coil_context *context,
                               const struct coil_rule *rule,
                               struct coil_verdict *verdict)
{
    caution_above(context, rule, verdict, COIL_CYANURIC_ACID, 90.0);
}

/* ---- saturation of calcium carbonate: cautions only ---- */

static double newest_or_zero(const struct coil_context *context,
                             enum coil_quantity quantity)
{
    const struct coil_measure *m = newest(context, quantity);

    return m != NULL ? m->value : 0;
}

static double step_or_zero(const struct coil_context *context,
                           enum coil_quantity quantity)
{
    const struct coil_measure *m = newest(context, quantity);

    return m != NULL ? m->resolution : 0;
}

/* The water by its newest values. False unless pH still counts and alkalinity, calcium
 * and temperature are known; what is not tested of the rest is taken for none. */
static bool water_now(const struct coil_context *context, struct coil_composition *out)
{
    *out = (struct coil_composition){
        .ph = context->ph.value.value,
        .total_alkalinity_mg_per_l_caco3 =
            newest_or_zero(context, COIL_TOTAL_ALKALINITY),
        .calcium_hardness_mg_per_l_caco3 =
            newest_or_zero(context, COIL_CALCIUM_HARDNESS),
        .magnesium_mg_per_l = newest_or_zero(context, COIL_MAGNESIUM),
        .salt_mg_per_l_nacl = newest_or_zero(context, COIL_SALT),
        .sulfate_mg_per_l = newest_or_zero(context, COIL_SULFATE),
        .borate_mg_per_l_b = newest_or_zero(context, COIL_BORATE),
        .cyanuric_acid_mg_per_l = newest_or_zero(context, COIL_CYANURIC_ACID),
        .chlorine_mg_per_l = newest_or_zero(context, COIL_FREE_CHLORINE),
        .water_temp_c = newest_or_zero(context, COIL_WATER_TEMP),
    };
    return context->ph.is_known && !context->ph.is_doubted &&
           context->facts->now_s < context->ph.valid_until_s &&
           newest(context, COIL_TOTAL_ALKALINITY) != NULL &&
           newest(context, COIL_CALCIUM_HARDNESS) != NULL &&
           newest(context, COIL_WATER_TEMP) != NULL;
}

/* Is the index of that water, heated closed by rise_k, past the limit? Only then it is
 * worked out how well its tests tell it, which is a dozen times the work. */
static bool index_is_past(const struct coil_context *context, double rise_k,
                          double limit, bool upwards, struct coil_saturation_band *out)
{
    const double model =
        rise_k > 0 ? COIL_SATURATION_MODEL_FILM : COIL_SATURATION_MODEL_POOL;
    const struct coil_saturation_steps none = {0};
    const struct coil_saturation_steps steps = {
        .ph = context->ph.value.resolution,
        .total_alkalinity_mg_per_l_caco3 = step_or_zero(context, COIL_TOTAL_ALKALINITY),
        .calcium_hardness_mg_per_l_caco3 = step_or_zero(context, COIL_CALCIUM_HARDNESS),
        .salt_mg_per_l_nacl = step_or_zero(context, COIL_SALT),
        .borate_mg_per_l_b = step_or_zero(context, COIL_BORATE),
        .cyanuric_acid_mg_per_l = step_or_zero(context, COIL_CYANURIC_ACID),
        .water_temp_k = step_or_zero(context, COIL_WATER_TEMP),
    };
    struct coil_composition water;

    if (!water_now(context, &water) ||
        coil_saturation_band(&water, &none, COIL_CYANURATE_WAHMAN_2019, rise_k, model,
                             out) < 0 ||
        !(upwards ? out->si_calcite > limit : out->si_calcite < limit) ||
        !isfinite(out->si_calcite))
        return false;
    return coil_saturation_band(&water, &steps, COIL_CYANURATE_WAHMAN_2019, rise_k,
                                model, out) >= 0;
}

static void add_index(const struct coil_context *context, const struct coil_rule *rule,
                      struct coil_verdict *verdict,
                      const struct coil_saturation_band *band, double limit)
{
    struct coil_finding *finding = add(verdict, rule, COIL_RUN);

    finding->is_caution = true;
    finding->has_index = true;
    finding->index = band->si_calcite;
    finding->index_half_width = band->half_width;
    finding->index_limit = limit;
    finding->age_s = context->facts->now_s - context->ph.value.at_s;
}

/* The same water closed, hotter by what the heater's figures give or by the
 * illustrative film rise, since nobody measures a film. */
static void scale_at_hot_surface(const struct coil_context *context,
                                 const struct coil_rule *rule,
                                 struct coil_verdict *verdict)
{
    double rise_k = context->facts->surface_rise_k;
    struct coil_saturation_band band;

    if (!(rise_k > 0))
        rise_k = COIL_FILM_RISE_DEFAULT_K;
    rise_k = fmin(rise_k, COIL_EQUILIBRIUM_TEMP_MAX_C -
                              newest_or_zero(context, COIL_WATER_TEMP));
    if (index_is_past(context, rise_k, COIL_SCALE_INDEX, true, &band))
        add_index(context, rule, verdict, &band, COIL_SCALE_INDEX);
}

static void lining_dissolves(const struct coil_context *context,
                             const struct coil_rule *rule, struct coil_verdict *verdict)
{
    struct coil_saturation_band band;

    if (context->facts->lining_has_cement && !context->facts->winter_closed &&
        index_is_past(context, 0, COIL_DISSOLVE_INDEX, false, &band))
        add_index(context, rule, verdict, &band, COIL_DISSOLVE_INDEX);
}

/* The first finding of the worst kind speaks for the headline, so the order matters. */
const struct coil_rule coil_rules[] = {
    {"gas_smell", COIL_BURNER_SIDE, gas_smell},
    {"flue_co_high", COIL_BURNER_SIDE, flue_co_high},
    {"flame_rollout", COIL_BURNER_SIDE, flame_rollout},
    {"soot_seen", COIL_BURNER_SIDE, soot_seen},
    {"clock_jumped", COIL_WATER_SIDE, clock_jumped},
    {"clock_behind", COIL_WATER_SIDE, clock_behind},
    {"low_ph_and_high_sanitiser", COIL_WATER_SIDE, low_ph_and_high_sanitiser},
    {"ph_low", COIL_WATER_SIDE, ph_low},
    {"ph_over_manual", COIL_WATER_SIDE, ph_over_manual},
    {"free_chlorine_high", COIL_WATER_SIDE, free_chlorine_high},
    {"bromine_high", COIL_WATER_SIDE, bromine_high},
    {"line_fault_water", COIL_WATER_SIDE, line_fault},
    {"plan_running", COIL_WATER_SIDE, plan_running},
    {"ph_missing", COIL_WATER_SIDE, ph_missing},
    {"sanitiser_missing", COIL_WATER_SIDE, sanitiser_missing},
    {"ph_doubted", COIL_WATER_SIDE, ph_doubted},
    {"sanitiser_doubted", COIL_WATER_SIDE, sanitiser_doubted},
    {"ph_after_dose", COIL_WATER_SIDE, ph_after_dose},
    {"sanitiser_after_dose", COIL_WATER_SIDE, sanitiser_after_dose},
    {"ph_old", COIL_WATER_SIDE, ph_old},
    {"sanitiser_old", COIL_WATER_SIDE, sanitiser_old},
    {"ph_old_at_wall", COIL_WATER_SIDE, ph_old_at_wall},
    {"sanitiser_old_at_wall", COIL_WATER_SIDE, sanitiser_old_at_wall},
    {"ph_may_have_left", COIL_WATER_SIDE, ph_may_have_left},
    {"sanitiser_may_have_left", COIL_WATER_SIDE, sanitiser_may_have_left},
    {"winter_closed", COIL_BURNER_SIDE, winter_closed},
    {"exposure_severe", COIL_BURNER_SIDE, exposure_severe},
    {"inspection_failed", COIL_BURNER_SIDE, inspection_failed},
    {"heater_drained", COIL_BURNER_SIDE, heater_drained},
    {"heater_off_line", COIL_BURNER_SIDE, heater_off_line},
    {"spa_too_hot", COIL_BURNER_SIDE, spa_too_hot},
    {"line_fault_burner", COIL_BURNER_SIDE, line_fault},
    {"cleaning_overdue", COIL_BURNER_SIDE, cleaning_overdue},
    {"standing_water", COIL_WATER_SIDE, standing_water},
    {"line_risk", COIL_WATER_SIDE, line_risk},
    {"clock_unsynchronised", COIL_WATER_SIDE, clock_unsynchronised},
    {"ph_high", COIL_WATER_SIDE, ph_high},
    {"sanitiser_low", COIL_WATER_SIDE, sanitiser_low},
    {"alkalinity_low", COIL_WATER_SIDE, alkalinity_low},
    {"combined_chlorine_high", COIL_WATER_SIDE, combined_chlorine_high},
    {"copper_present", COIL_WATER_SIDE, copper_present},
    {"cyanuric_acid_high", COIL_WATER_SIDE, cyanuric_acid_high},
    {"scale_at_hot_surface", COIL_WATER_SIDE, scale_at_hot_surface},
    {"lining_dissolves", COIL_WATER_SIDE, lining_dissolves},
    {NULL, COIL_WATER_SIDE, NULL},
};
