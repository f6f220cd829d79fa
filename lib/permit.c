#include "permit_private.h"

#include <math.h>
#include <string.h>

const char *coil_permit_key(enum coil_permit permit)
{
    static const char *const keys[] = {"run", "test", "hold"};

    return permit >= COIL_RUN && permit <= COIL_HOLD ? keys[permit] : "test";
}

const char *coil_sanitiser_key(enum coil_sanitiser sanitiser)
{
    static const char *const keys[] = {"chlorine", "salt_chlorine", "bromine",
                                       "biguanide"};

    return (unsigned)sanitiser < COIL_SANITISER_COUNT ? keys[sanitiser] : "chlorine";
}

const char *coil_bypass_key(enum coil_bypass bypass)
{
    static const char *const keys[] = {"none", "full", "part_open"};

    return (unsigned)bypass < COIL_BYPASS_COUNT ? keys[bypass] : "none";
}

const char *coil_heater_state_key(enum coil_heater_state state)
{
    static const char *const keys[] = {"in_line", "off_line_flushed",
                                       "off_line_standing", "drained"};

    return (unsigned)state < COIL_HEATER_STATE_COUNT ? keys[state] : "in_line";
}

const char *coil_limit_key(enum coil_limit_name name)
{
    static const char *const keys[] = {"ph_low", "ph_high", "free_chlorine_high",
                                       "bromine_high", "spa_temp_high"};

    return (unsigned)name < COIL_LIMIT_COUNT ? keys[name] : "";
}

const char *coil_limit_source_key(enum coil_limit_source source)
{
    static const char *const keys[] = {"common practice", "manual", "own",
                                       "published"};

    return (unsigned)source <= COIL_PUBLISHED ? keys[source] : "own";
}

struct coil_limit coil_limit_default(enum coil_limit_name name)
{
    static const struct coil_limit defaults[COIL_LIMIT_COUNT] = {
        [COIL_LIMIT_PH_LOW] = {true, 7.2, COIL_COMMON_PRACTICE},
        [COIL_LIMIT_PH_HIGH] = {false, 0.0, COIL_COMMON_PRACTICE},
        [COIL_LIMIT_FREE_CHLORINE_HIGH] = {true, 5.0, COIL_COMMON_PRACTICE},
        [COIL_LIMIT_BROMINE_HIGH] = {true, 6.0, COIL_COMMON_PRACTICE},
        [COIL_LIMIT_SPA_TEMP_HIGH] = {true, 40.0, COIL_PUBLISHED},
    };

    return (unsigned)name < COIL_LIMIT_COUNT ? defaults[name] : defaults[1];
}

/* A large dose: it may have bleached a test taken within two days after it. A
 * super-chlorination counts as large even when the pool's volume is not known. */
static bool dose_is_large(const struct coil_dose_mark *dose)
{
    return dose->super_chlorination ||
           dose->chlorine_rise_mg_per_l >= COIL_INTERFERENCE_MG_PER_L;
}

/* The last instant at which it may have been measured. */
static int64_t latest_s(const struct coil_measure *m)
{
    return m->at_s + (m->day_only ? COIL_DAY_ONLY_S : 0);
}

/* May the value have been taken within two days after an instant? */
static bool soon_after(const struct coil_measure *m, int64_t earlier_s)
{
    return earlier_s <= latest_s(m) && m->at_s - earlier_s <= COIL_INTERFERENCE_S;
}

/* Was the water strong in chlorine or bromine shortly before (or at) a value's instant?
 * Monopersulfate never shows as free chlorine and is no dose of chlorine here. */
static bool strong_before(const struct coil_permit_facts *facts,
                          const struct coil_measure *m)
{
    static const enum coil_quantity quantities[] = {COIL_FREE_CHLORINE, COIL_BROMINE};
    size_t q, i;

    for (q = 0; q < 2; q++) {
        const struct coil_history *history = &facts->history[quantities[q]];

        for (i = 0; i < history->count; i++)
            if (history->newest[i].value > COIL_INTERFERENCE_MG_PER_L &&
                soon_after(m, history->newest[i].at_s))
                return true;
    }
    for (i = 0; i < facts->dose_count; i++)
        if (dose_is_large(&facts->doses[i]) && soon_after(m, facts->doses[i].at_s))
            return true;
    return false;
}

/* The sanitiser reading nearest before an instant, within two days, says the water was
 * strong: then a colour indicator for pH is not to be believed. A later ordinary
 * reading ends that; unless it is itself a near-zero that may be bleached. */
static bool indicator_is_upset(const struct coil_permit_facts *facts,
                               const struct coil_measure *ph)
{
    const struct coil_history *free = &facts->history[COIL_FREE_CHLORINE];
    const struct coil_history *bromine = &facts->history[COIL_BROMINE];
    size_t i;

    for (i = 0; i < free->count; i++) {
        const struct coil_measure *m = &free->newest[i];

        if (!soon_after(ph, m->at_s))
            continue;
        if (m->value > COIL_INTERFERENCE_MG_PER_L)
            return true;
        if (m->value >= 0.5)
            break;
    }
    for (i = 0; i < bromine->count; i++)
        if (soon_after(ph, bromine->newest[i].at_s))
            return bromine->newest[i].value > COIL_INTERFERENCE_MG_PER_L;
    return false;
}

static bool near_zero(const struct coil_measure *measure)
{
    return measure->value < fmax(0.5, measure->resolution);
}

const struct coil_measure *coil_permit_total_below(const struct coil_permit_facts *facts,
                                                   const struct coil_measure *free)
{
    const struct coil_history *total = &facts->history[COIL_TOTAL_CHLORINE];

    for (size_t i = 0; i < total->count; i++) {
        const struct coil_measure *m = &total->newest[i];

        if (m->at_s == free->at_s && !m->over_range &&
            coil_free_exceeds_total(free->value, free->resolution, m->value,
                                    m->resolution))
            return m;
    }
    return NULL;
}

/* Can this value decide? One beyond its scale decides only when the scale's end is
 * already outside the wall, and so does one that its own total chlorine contradicts. Not
 * finite: never. */
static bool is_trustworthy(const struct coil_permit_facts *facts,
                           const struct coil_standing *standing,
                           const struct coil_measure *m, double low, double high)
{
    if (!isfinite(m->value))
        return false;
    if (standing->quantity == COIL_PH) {
        if (m->over_range && m->value >= low && m->value < 7.8)
            return false;
        return !(coil_method_is_indicator(m->method) &&
                 indicator_is_upset(facts, m));
    }
    if (m->over_range)
        return m->value > high;
    if (standing->quantity == COIL_FREE_CHLORINE && m->value <= high &&
        coil_permit_total_below(facts, m) != NULL)
        return false;
    if (coil_method_is_indicator(m->method) && !m->diluted && near_zero(m))
        return !strong_before(facts, m);
    return true;
}

static bool is_outside(const struct coil_measure *m, double low, double high)
{
    return !(m->value >= low && m->value <= high);
}

/* Sold as no acid and no sanitiser, yet they bring acid into the water (alkalinity of
 * dose.h below zero, or an acid by name); or nobody knows what it was. */
static bool may_turn_acid(enum coil_product product)
{
    switch (product) {
    case COIL_MONOPERSULFATE:
    case COIL_BORIC_ACID:
    case COIL_CYANURIC_ACID_PRODUCT:
    case COIL_SODIUM_THIOSULFATE:
    case COIL_SODIUM_SULFITE:
    case COIL_OTHER_PRODUCT:
        return true;
    default:
        return false;
    }
}

/* Earliest dose at or after a value that ends its validity: acid, sanitiser, or what
 * may turn the water acid; 0 for none. A dose at the same instant comes after the test:
 * people test, then dose. */
static int64_t dose_since(const struct coil_permit_facts *facts, int64_t at_s)
{
    int64_t earliest = 0;
    size_t i;

    for (i = 0; i < facts->dose_count; i++) {
        const struct coil_dose_mark *dose = &facts->doses[i];

        if (dose->at_s < at_s || dose->at_s > facts->now_s)
            continue;
        if (dose->kind == COIL_KIND_OTHER && !dose->super_chlorination &&
            !may_turn_acid(dose->product))
            continue;
        if (earliest == 0 || dose->at_s < earliest)
            earliest = dose->at_s;
    }
    return earliest;
}

/* A step of the test reaches over a wall: the truth may lie beyond it. Half a step, as
 * a value stands for all that rounds to it. The last term keeps 7.3 - 0.1 at 7.2. */
static bool touches_wall(const struct coil_measure *m, double low, double high)
{
    double half = m->resolution / 2.0 + 1e-9;

    return m->value - half <= low || m->value + half >= high;
}

/* Until when a value counts by a forecast; false: the fixed times hold. */
static bool by_forecast(const struct coil_permit_facts *facts,
                        struct coil_standing *standing)
{
    int64_t touches_at_s = standing->quantity == COIL_PH
                               ? facts->ph_touches_at_s
                               : facts->sanitiser_touches_at_s;
    int64_t read_at_s = standing->value.at_s;

    if (touches_at_s == 0)
        return false;
    standing->ends = COIL_ENDS_BY_FORECAST;
    standing->valid_until_s = touches_at_s;
    if (touches_at_s < read_at_s + COIL_VALIDITY_FORECAST_MIN_S)
        standing->valid_until_s = read_at_s + COIL_VALIDITY_FORECAST_MIN_S;
    if (touches_at_s > read_at_s + COIL_VALIDITY_FORECAST_S)
        standing->valid_until_s = read_at_s + COIL_VALIDITY_FORECAST_S;
    return true;
}

static void set_validity(const struct coil_permit_facts *facts,
                         struct coil_standing *standing, double low, double high)
{
    const struct coil_measure *m = &standing->value;
    bool at_wall = touches_wall(m, low, high);
    int64_t dose_at_s = dose_since(facts, m->at_s);

    if (!by_forecast(facts, standing)) {
        standing->ends = at_wall ? COIL_ENDS_AT_WALL : COIL_ENDS_BY_AGE;
        standing->valid_until_s =
            m->at_s + (at_wall ? COIL_VALIDITY_AT_WALL_S : COIL_VALIDITY_S);
    }
    if (dose_at_s != 0 && dose_at_s < standing->valid_until_s) {
        standing->ends = COIL_ENDS_BY_DOSE;
        standing->dose_at_s = dose_at_s;
        standing->valid_until_s = dose_at_s;
    }
}

/* Of two values of one instant the one outside the band counts; and one of which only
 * the day is known, wherever in its day the first may lie. */
static const struct coil_measure *worst_of_instant(
    const struct coil_permit_facts *facts, const struct coil_standing *standing,
    const struct coil_history *history, size_t first, double low, double high)
{
    size_t i;

    for (i = first; i < history->count; i++) {
        const struct coil_measure *m = &history->newest[i];

        if (latest_s(m) < history->newest[first].at_s)
            continue;
        if (is_trustworthy(facts, standing, m, low, high) && is_outside(m, low, high))
            return m;
    }
    return &history->newest[first];
}

/* low and high are the heater's walls; -INFINITY or INFINITY where there is none. */
static void find_standing(const struct coil_permit_facts *facts, double low,
                          double high, struct coil_standing *standing)
{
    const struct coil_history *history = &facts->history[standing->quantity];
    size_t i;

    for (i = 0; i < history->count && !standing->is_known; i++) {
        const struct coil_measure *m = &history->newest[i];

        if (m->at_s > facts->now_s)
            continue;
        if (is_trustworthy(facts, standing, m, low, high)) {
            standing->value =
                *worst_of_instant(facts, standing, history, i, low, high);
            standing->is_known = true;
        } else if (!standing->is_doubted) {
            standing->doubted = *m;
            standing->is_doubted = true;
        }
    }
    if (!standing->is_known)
        return;
    standing->is_below = standing->value.value < low;
    standing->is_above = standing->value.value > high;
    set_validity(facts, standing, low, high);
}

static double limit_or(const struct coil_limit *limit, double otherwise)
{
    return limit->is_set ? limit->value : otherwise;
}

static void find_standings(struct coil_context *context)
{
    const struct coil_permit_facts *facts = context->facts;
    const struct coil_limit *limits = facts->limits;
    bool is_bromine = facts->sanitiser == COIL_SANITISER_BROMINE;

    context->ph.quantity = COIL_PH;
    context->ph.is_needed = true;
    find_standing(facts, limit_or(&limits[COIL_LIMIT_PH_LOW], -INFINITY),
                  limit_or(&limits[COIL_LIMIT_PH_HIGH], INFINITY), &context->ph);

    context->sanitiser.quantity = is_bromine ? COIL_BROMINE : COIL_FREE_CHLORINE;
    context->sanitiser.is_needed = facts->sanitiser != COIL_BIGUANIDE;
    find_standing(facts, -INFINITY,
                  limit_or(&limits[is_bromine ? COIL_LIMIT_BROMINE_HIGH
                                              : COIL_LIMIT_FREE_CHLORINE_HIGH],
                           INFINITY),
                  &context->sanitiser);
}

static void sum_up(const struct coil_context *context, struct coil_verdict *verdict)
{
    const struct coil_standing *ph = &context->ph, *sanitiser = &context->sanitiser;
    size_t i;

    for (i = 0; i < verdict->finding_count; i++) {
        const struct coil_finding *finding = &verdict->findings[i];
        enum coil_permit *side = finding->side == COIL_WATER_SIDE
                                     ? &verdict->water_side
                                     : &verdict->burner_side;

        if (!finding->is_caution && finding->permit > *side)
            *side = finding->permit;
    }
    verdict->permit = verdict->water_side > verdict->burner_side
                          ? verdict->water_side
                          : verdict->burner_side;
    if (verdict->permit != COIL_RUN)
        return;
    verdict->good_until_s = ph->valid_until_s;
    if (sanitiser->is_needed && sanitiser->valid_until_s < verdict->good_until_s)
        verdict->good_until_s = sanitiser->valid_until_s;
}

void coil_permit_from_facts(const struct coil_permit_facts *facts,
                            struct coil_verdict *out_verdict)
{
    struct coil_context context = {.facts = facts};
    const struct coil_rule *rule;

    memset(out_verdict, 0, sizeof *out_verdict);
    find_standings(&context);
    for (rule = coil_rules; rule->name != NULL; rule++)
        rule->judge(&context, rule, out_verdict);
    sum_up(&context, out_verdict);
}

const char *coil_permit_rule_at(size_t index)
{
    size_t i;

    for (i = 0; i < index; i++)
        if (coil_rules[i].name == NULL)
            return NULL;
    return coil_rules[index].name;
}
