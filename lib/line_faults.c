/*
 * Faults of a line in its declared positions: what they have in common, and the list of
 * all in the order of the report.
 */
#include "line_faults_private.h"

#include <math.h>
#include <string.h>

struct fault_info {
    enum coil_line_severity severity;
    enum coil_side side;
    enum coil_line_change change;
};

static const struct fault_info FAULTS[] = {
#define X(name, key, severity, side, change) {severity, side, change},
    COIL_LINE_FAULT_LIST(X)
#undef X
};

/* ---- gathering ---- */

struct coil_line_fault *coil_mark(struct coil_finder *finder,
                                  enum coil_line_fault_code code, int part,
                                  int position, bool *out_new)
{
    struct coil_line_report *report = finder->report;
    struct coil_line_fault *fault;

    *out_new = false;
    for (int i = report->fault_count - 1; i >= 0; i--) {
        if (report->faults[i].code == code && report->faults[i].part == part) {
            report->faults[i].positions |= 1u << position;
            return &report->faults[i];
        }
    }
    report->fault_total++; /* beyond the room a part may count once per position */
    if (FAULTS[code].severity == COIL_LINE_STOP) {
        if (FAULTS[code].side == COIL_WATER_SIDE)
            report->water_side = COIL_HOLD;
        else
            report->burner_side = COIL_HOLD;
    }
    if (report->fault_count == COIL_LINE_FAULTS_MAX)
        return NULL;
    fault = &report->faults[report->fault_count++];
    memset(fault, 0, sizeof *fault);
    fault->code = code;
    fault->severity = FAULTS[code].severity;
    fault->side = FAULTS[code].side;
    fault->change = FAULTS[code].change;
    fault->part = part;
    fault->other = fault->change_after = -1;
    fault->positions = 1u << position;
    *out_new = true;
    return fault;
}

void coil_mark_part(struct coil_finder *finder, enum coil_line_fault_code code,
                    int part, int position)
{
    bool is_new;
    struct coil_line_fault *fault = coil_mark(finder, code, part, position, &is_new);

    if (is_new && fault != NULL) {
        fault->path[0] = (uint8_t)part;
        fault->path_length = 1;
    }
}

void coil_mark_value(struct coil_finder *finder, enum coil_line_fault_code code,
                     int part, int position, double value, double limit)
{
    bool is_new;
    struct coil_line_fault *fault = coil_mark(finder, code, part, position, &is_new);

    if (is_new && fault != NULL) {
        fault->path[0] = (uint8_t)part;
        fault->path_length = 1;
        fault->value = value;
        fault->limit = limit;
    }
}

/* ---- all together ---- */

/* clang-format off */
static void (*const FIND[])(struct coil_finder *finder) = {
    coil_find_chlorine_before,
    coil_find_acid_before,
    coil_find_basket_tablets,
    coil_find_acid_and_chlorine_stopped,
    coil_find_off_line_passed,
    coil_find_firing_without_flow,
    coil_find_below_minimum,
    coil_find_not_interlocked,
    coil_find_no_check_valve,
    coil_find_acid_near_chlorine,
    coil_find_no_flow_proof,
    coil_find_off_line_one_sided,
    coil_find_pump_shut,
    coil_find_heater_before_filter,
    coil_find_above_maximum,
    coil_find_fast_copper,
    coil_find_ozone_before,
    coil_find_shared_flow_proof,
    coil_find_dead_legs,
    coil_find_unreachable,
};
/* clang-format on */

static void look_at(struct coil_finder *finder, int position)
{
    struct coil_at_position *at = &finder->at[position];
    const struct coil_view *view = &finder->view;
    struct coil_part_set suctions, outlets;

    coil_open_of_position(finder->line, &finder->line->positions[position], &at->open);
    coil_set_of_role(view, COIL_ROLE_SUCTION, &suctions);
    coil_set_of_role(view, COIL_ROLE_OUTLET, &outlets);
    coil_search_from(view, &at->open, COIL_WALK_UP, view->heater, NULL, &at->to_heater);
    coil_search_from(view, &at->open, COIL_WALK_DOWN, view->heater, NULL,
                     &at->from_heater);
    coil_search_from(view, &at->open, COIL_WALK_DRIFT_TO, view->heater, NULL,
                     &at->drift);
    coil_search(view, &at->open, COIL_WALK_DOWN, &suctions, NULL, &at->from_pool);
    coil_search(view, &at->open, COIL_WALK_UP, &outlets, NULL, &at->to_pool);
    memset(&at->flow, 0, sizeof at->flow);
    at->has_flow = coil_line_flow(finder->line, position, &at->flow) == COIL_OK;
}

static void put_assumptions(const struct coil_finder *finder)
{
    unsigned bits = 1u << COIL_ASSUME_POOL_MIXED | 1u << COIL_ASSUME_PUMP_FLOW;

    for (int s = 0; s < finder->line->position_count; s++) {
        bits |= finder->at[s].flow.assumptions;
        if (!finder->at[s].has_flow)
            bits |= 1u << COIL_ASSUME_LOOP_NO_FLOW;
    }
    for (int i = 0; i < finder->line->part_count; i++) {
        const struct coil_part *p = &finder->line->parts[i];
        enum coil_source source = coil_part_source(p->kind);

        if (coil_part_role(p->kind) == COIL_ROLE_VALVE)
            bits |= 1u << COIL_ASSUME_VALVES_TIGHT;
        if (p->kind == COIL_PART_CHECK_VALVE)
            bits |= 1u << COIL_ASSUME_CHECK_VALVES_TIGHT;
        if (p->kind == COIL_PART_HEATER && p->min_flow_l_per_s == 0.0)
            bits |= 1u << COIL_ASSUME_NO_MINIMUM_FLOW;
        if (!(coil_part_volume_l(p) > 0.0) &&
            (p->kind == COIL_PART_HEATER || p->kind == COIL_PART_STRAINER ||
             p->kind == COIL_PART_EROSION_FEEDER ||
             p->kind == COIL_PART_SKIMMER_TABLETS ||
             p->kind == COIL_PART_STRAINER_TABLETS || p->kind == COIL_PART_FILTER))
            bits |= 1u << COIL_ASSUME_NO_VOLUME;
        if ((source == COIL_SOURCE_CHLORINE || source == COIL_SOURCE_ACID) &&
            p->feed.basis == COIL_FEED_UNKNOWN)
            bits |= 1u << COIL_ASSUME_NO_FEED;
    }
    finder->report->assumptions = bits;
}

enum coil_status coil_line_find(const struct coil_line *line, double water_temp_c,
                                struct coil_line_report *out,
                                struct coil_line_problem *out_problem)
{
    struct coil_finder finder;
    enum coil_status status = coil_line_check(line, out_problem);

    if (status != COIL_OK)
        return status;
    if (!(water_temp_c >= 0.0 && water_temp_c <= 100.0)) {
        out_problem->field = "water_temp_c";
        return isfinite(water_temp_c) ? COIL_ERR_DOMAIN : COIL_ERR_NOT_FINITE;
    }
    memset(out, 0, sizeof *out);
    finder.line = line;
    finder.report = out;
    finder.water_temp_c = water_temp_c;
    coil_view_init(&finder.view, line);
    for (int i = 0; i < line->position_count; i++)
        look_at(&finder, i);
    for (size_t i = 0; i < sizeof FIND / sizeof *FIND; i++)
        FIND[i](&finder);
    /* Found position by position: put those of one code into the order of ids. */
    for (int i = 1; i < out->fault_count; i++) {
        struct coil_line_fault kept = out->faults[i];
        int k = i;

        for (; k > 0 && out->faults[k - 1].code == kept.code &&
               finder.view.rank[out->faults[k - 1].part] > finder.view.rank[kept.part];
             k--)
            out->faults[k] = out->faults[k - 1];
        out->faults[k] = kept;
    }
    coil_line_notes(&finder.view, out);
    put_assumptions(&finder);
    out->all_is_well = out->fault_total == 0;
    return COIL_OK;
}
