/* Faults of the heater's own water, and of the rest of the line. */
#include "line_faults_private.h"

#include <string.h>

/* ---- the heater's own water ---- */

/* From the pool to the heater and on to the pool, or the half of it that is open. In a
 * loop the halves may repeat parts; what does not fit is left out. */
static void put_heater_path(const struct coil_finder *finder,
                            const struct coil_at_position *at,
                            struct coil_line_fault *fault)
{
    uint8_t on[COIL_LINE_PARTS_MAX];
    int heater = finder->view.heater;
    int length = coil_path_to_start(&at->to_pool, heater, on);
    int from = 0;

    fault->path_length = 0;
    if (coil_reached(&at->from_pool, heater)) {
        fault->path_length = coil_path_from_start(&at->from_pool, heater, fault->path);
        from = 1; /* the heater stands there already */
    }
    if (!coil_reached(&at->to_pool, heater))
        return;
    for (int i = from; i < length && fault->path_length < COIL_LINE_PARTS_MAX; i++)
        fault->path[fault->path_length++] = on[i];
}

static bool is_passed(const struct coil_finder *finder,
                      const struct coil_at_position *at)
{
    return coil_reached(&at->from_pool, finder->view.heater) &&
           coil_reached(&at->to_pool, finder->view.heater);
}

/* Shutting a valve that is there is the smallest change. */
static bool has_valve(const struct coil_finder *finder,
                      const struct coil_line_fault *fault)
{
    for (int i = 0; i < fault->path_length; i++)
        if (coil_part_role(finder->line->parts[fault->path[i]].kind) == COIL_ROLE_VALVE)
            return true;
    return false;
}

static void find_off_line(struct coil_finder *finder, bool passed)
{
    int heater = finder->view.heater;

    for (int s = 0; s < finder->line->position_count; s++) {
        const struct coil_at_position *at = &finder->at[s];
        bool in = coil_reached(&at->from_pool, heater);
        bool on = coil_reached(&at->to_pool, heater);
        struct coil_line_fault *fault;
        bool is_new;

        if (finder->line->positions[s].kind != COIL_POSITION_HEATER_OFF_LINE ||
            !(passed ? in && on : in != on))
            continue;
        fault = coil_mark(
            finder, passed ? COIL_FAULT_OFF_LINE_PASSED : COIL_FAULT_OFF_LINE_ONE_SIDED,
            heater, s, &is_new);
        if (!is_new || fault == NULL)
            continue;
        put_heater_path(finder, at, fault);
        if (!has_valve(finder, fault))
            fault->change = COIL_CHANGE_ADD_VALVE;
    }
}

void coil_find_off_line_passed(struct coil_finder *finder)
{
    find_off_line(finder, true);
}

void coil_find_off_line_one_sided(struct coil_finder *finder)
{
    find_off_line(finder, false);
}

void coil_find_firing_without_flow(struct coil_finder *finder)
{
    int heater = finder->view.heater;

    for (int s = 0; s < finder->line->position_count; s++) {
        const struct coil_at_position *at = &finder->at[s];

        if (finder->line->positions[s].burner_may_fire &&
            (!is_passed(finder, at) ||
             (at->has_flow && !(at->flow.part_l_per_s[heater] > 0.0))))
            coil_mark_part(finder, COIL_FAULT_FIRING_WITHOUT_FLOW, heater, s);
    }
}

static void find_flow_limits(struct coil_finder *finder, bool low)
{
    int heater = finder->view.heater;
    const struct coil_part *part = &finder->line->parts[heater];
    double limit = low ? part->min_flow_l_per_s : part->max_flow_l_per_s;

    for (int s = 0; s < finder->line->position_count && limit > 0.0; s++) {
        const struct coil_at_position *at = &finder->at[s];
        double flow = at->flow.part_l_per_s[heater];

        if (!at->has_flow || !(flow > 0.0))
            continue;
        if (low && finder->line->positions[s].burner_may_fire && flow < limit)
            coil_mark_value(finder, COIL_FAULT_BELOW_MINIMUM_FLOW, heater, s, flow,
                            limit);
        if (!low && flow > limit)
            coil_mark_value(finder, COIL_FAULT_ABOVE_MAXIMUM_FLOW, heater, s, flow,
                            limit);
    }
}

void coil_find_below_minimum(struct coil_finder *finder)
{
    find_flow_limits(finder, true);
}

void coil_find_above_maximum(struct coil_finder *finder)
{
    find_flow_limits(finder, false);
}

/* Is there a way through the heater that passes none of these parts? */
static bool way_without(const struct coil_finder *finder, const struct coil_open *open,
                        const struct coil_part_set *without)
{
    struct coil_reach up, down;
    bool in = false, on = false;

    coil_search_from(&finder->view, open, COIL_WALK_UP, finder->view.heater, without,
                     &up);
    coil_search_from(&finder->view, open, COIL_WALK_DOWN, finder->view.heater, without,
                     &down);
    for (int i = 0; i < finder->line->part_count; i++) {
        in = in || (coil_is_suction(&finder->view, i) && coil_reached(&up, i));
        on = on || (coil_is_outlet(&finder->view, i) && coil_reached(&down, i));
    }
    return in && on;
}

/* Is all water of this part the heater's, whatever the valves? Then its flow proves the
 * heater's. */
static bool is_heaters_own(const struct coil_finder *finder, int part)
{
    struct coil_part_set heater = {{false}};
    struct coil_open open;
    struct coil_reach up, down;
    bool in = false, on = false;

    heater.has[finder->view.heater] = true;
    coil_open_all(finder->line, &open);
    coil_search_from(&finder->view, &open, COIL_WALK_UP, part, &heater, &up);
    coil_search_from(&finder->view, &open, COIL_WALK_DOWN, part, &heater, &down);
    for (int i = 0; i < finder->line->part_count; i++) {
        in = in || (coil_is_suction(&finder->view, i) && coil_reached(&up, i));
        on = on || (coil_is_outlet(&finder->view, i) && coil_reached(&down, i));
    }
    return !(in && on);
}

static void find_flow_proof(struct coil_finder *finder, bool shared)
{
    int heater = finder->view.heater;
    struct coil_part_set all = {{false}}, own = {{false}};

    if (finder->line->parts[heater].is_interlocked)
        return;
    for (int i = 0; i < finder->line->part_count; i++) {
        all.has[i] = finder->line->parts[i].kind == COIL_PART_FLOW_SWITCH;
        own.has[i] = all.has[i] && is_heaters_own(finder, i);
    }
    for (int s = 0; s < finder->line->position_count; s++) {
        const struct coil_open *open = &finder->at[s].open;
        bool none = way_without(finder, open, &all);

        if (!finder->line->positions[s].burner_may_fire)
            continue;
        if (!shared && none)
            coil_mark_part(finder, COIL_FAULT_NO_FLOW_PROOF, heater, s);
        if (shared && !none && way_without(finder, open, &own))
            coil_mark_part(finder, COIL_FAULT_FLOW_PROOF_SHARED, heater, s);
    }
}

void coil_find_no_flow_proof(struct coil_finder *finder)
{
    find_flow_proof(finder, false);
}

void coil_find_shared_flow_proof(struct coil_finder *finder)
{
    find_flow_proof(finder, true);
}

void coil_find_heater_before_filter(struct coil_finder *finder)
{
    for (int s = 0; s < finder->line->position_count; s++) {
        for (int i = 0; i < finder->line->part_count; i++) {
            int part = finder->view.part[i];
            struct coil_line_fault *fault;
            bool is_new;

            if (finder->line->parts[part].kind != COIL_PART_FILTER ||
                !coil_reached(&finder->at[s].from_heater, part))
                continue;
            fault =
                coil_mark(finder, COIL_FAULT_HEATER_BEFORE_FILTER, part, s, &is_new);
            if (!is_new || fault == NULL)
                continue;
            fault->other = finder->view.heater;
            fault->path_length =
                coil_path_from_start(&finder->at[s].from_heater, part, fault->path);
            fault->change_after = part;
        }
    }
}

/* ---- the rest of the line ---- */

void coil_find_pump_shut(struct coil_finder *finder)
{
    for (int s = 0; s < finder->line->position_count; s++) {
        for (int i = 0; i < finder->line->part_count; i++) {
            int part = finder->view.part[i];

            if (finder->line->parts[part].kind == COIL_PART_PUMP &&
                finder->line->positions[s].setting[part] != COIL_SET_CLOSED &&
                !(coil_reached(&finder->at[s].from_pool, part) &&
                  coil_reached(&finder->at[s].to_pool, part)))
                coil_mark_part(finder, COIL_FAULT_PUMP_SHUT, part, s);
        }
    }
}

void coil_find_fast_copper(struct coil_finder *finder)
{
    for (int s = 0; s < finder->line->position_count; s++) {
        for (int i = 0; i < finder->line->part_count; i++) {
            int part = finder->view.part[i];
            const struct coil_part *p = &finder->line->parts[part];
            struct coil_pipe_state state;

            if (coil_part_role(p->kind) == COIL_ROLE_PIPE && finder->at[s].has_flow &&
                coil_pipe_state(p->material, p->size, p->length_m,
                                finder->at[s].flow.part_l_per_s[part],
                                finder->water_temp_c, &state) >= 0 &&
                state.is_too_fast)
                coil_mark_value(finder, COIL_FAULT_COPPER_TOO_FAST, part, s,
                                state.velocity_m_per_s, state.copper_limit_m_per_s);
        }
    }
}

/* Joined to a suction at all, whatever the valves? */
static void find_joined(const struct coil_finder *finder, struct coil_reach *out)
{
    struct coil_part_set start;
    struct coil_open open;

    coil_open_all(finder->line, &open);
    coil_set_of_role(&finder->view, COIL_ROLE_SUCTION, &start);
    /* An end in the pool joins too: walk both ways without stopping there. */
    for (int round = 0; round < finder->line->part_count; round++) {
        bool grown = false;

        coil_search(&finder->view, &open, COIL_WALK_BOTH, &start, NULL, out);
        for (int i = 0; i < finder->line->part_count; i++) {
            grown = grown || (coil_reached(out, i) && !start.has[i]);
            start.has[i] = coil_reached(out, i);
        }
        if (!grown)
            return;
    }
}

/* Parts that water or a feed could pass, were every valve open. A branch that a valve
 * shuts is no dead leg. */
static void find_passable(const struct coil_finder *finder, struct coil_part_set *out)
{
    const struct coil_view *view = &finder->view;
    struct coil_part_set start, outlets;
    struct coil_open open;
    struct coil_reach from, to;

    coil_open_all(finder->line, &open);
    coil_set_of_role(view, COIL_ROLE_SUCTION, &start);
    coil_set_of_role(view, COIL_ROLE_OUTLET, &outlets);
    for (int i = 0; i < finder->line->part_count; i++)
        start.has[i] = start.has[i] || coil_is_leaf_feeder(view, i);
    coil_search(view, &open, COIL_WALK_DOWN, &start, NULL, &from);
    coil_search(view, &open, COIL_WALK_UP, &outlets, NULL, &to);
    for (int i = 0; i < finder->line->part_count; i++)
        out->has[i] = coil_reached(&from, i) && coil_reached(&to, i);
}

static bool stands_in_pool(const struct coil_finder *finder, int part)
{
    return coil_part_role(finder->line->parts[part].kind) == COIL_ROLE_POOL &&
           finder->view.in_first[part] == finder->view.in_first[part + 1] &&
           finder->view.out_first[part] == finder->view.out_first[part + 1];
}

static void find_idle(struct coil_finder *finder, bool joined)
{
    struct coil_part_set passable;
    struct coil_reach reach;

    find_joined(finder, &reach);
    find_passable(finder, &passable);
    for (int i = 0; i < finder->line->part_count; i++) {
        int part = finder->view.part[i];

        if (stands_in_pool(finder, part) || coil_reached(&reach, part) != joined ||
            (joined && passable.has[part]))
            continue;
        for (int s = 0; s < finder->line->position_count; s++)
            coil_mark_part(
                finder, joined ? COIL_FAULT_DEAD_LEG : COIL_FAULT_UNREACHABLE, part, s);
    }
}

void coil_find_dead_legs(struct coil_finder *finder)
{
    find_idle(finder, true);
}

void coil_find_unreachable(struct coil_finder *finder)
{
    find_idle(finder, false);
}
