/* Flow through the line in one position, and what the flow carries. See line.h. */
#include "line_private.h"

#include <math.h>
#include <string.h>

struct flow_work {
    struct coil_view view;
    struct coil_open open; /* edges that lead from a suction on to a return */
    uint8_t order[COIL_LINE_PARTS_MAX];
};

/* Leaves open only what water can pass: from a suction, to a return. */
static void keep_through(struct flow_work *work)
{
    const struct coil_line *line = work->view.line;
    struct coil_part_set suctions, outlets;
    struct coil_reach from, to;

    coil_set_of_role(&work->view, COIL_ROLE_SUCTION, &suctions);
    coil_set_of_role(&work->view, COIL_ROLE_OUTLET, &outlets);
    coil_search(&work->view, &work->open, COIL_WALK_DOWN, &suctions, NULL, &from);
    coil_search(&work->view, &work->open, COIL_WALK_UP, &outlets, NULL, &to);
    for (int i = 0; i < line->edge_count; i++)
        work->open.edge[i] = work->open.edge[i] &&
                             coil_reached(&from, line->edges[i].from) &&
                             coil_reached(&to, line->edges[i].to);
}

static enum coil_status begin(struct flow_work *work, const struct coil_line *line,
                              int position)
{
    int loop;

    if (position < 0 || position >= line->position_count)
        return COIL_ERR_DOMAIN;
    coil_view_init(&work->view, line);
    coil_open_of_position(line, &line->positions[position], &work->open);
    return coil_order(&work->view, &work->open, false, work->order, &loop)
               ? COIL_OK
               : COIL_ERR_NO_SOLUTION;
}

/*
 * Divides a flow among the open edges on one side of a part.
 *
 * edges, count  of the part, in the view's order
 * Returns how much went; 0 when no edge is open.
 */
static double divide(const struct flow_work *work, const uint16_t *edges, int count,
                     double flow, double *edge_flow, unsigned *assumptions)
{
    const struct coil_line *line = work->view.line;
    double sum = 0.0;
    int open = 0;
    bool all_given = true;

    for (int i = 0; i < count; i++) {
        if (!work->open.edge[edges[i]])
            continue;
        open++;
        sum += line->edges[edges[i]].share;
        all_given = all_given && line->edges[edges[i]].share > 0.0;
    }
    for (int i = 0; i < count; i++)
        if (work->open.edge[edges[i]])
            edge_flow[edges[i]] +=
                flow * (all_given ? line->edges[edges[i]].share / sum : 1.0 / open);
    if (open > 1)
        *assumptions |=
            1u << (all_given ? COIL_ASSUME_GIVEN_SHARES : COIL_ASSUME_EQUAL_SHARES);
    return open > 0 ? flow : 0.0;
}

/* Pumps that run, have a way in and out, and get no flow from another such pump. */
static void find_pumps(const struct flow_work *work,
                       const struct coil_line_position *position,
                       struct coil_part_set *out, unsigned *assumptions)
{
    const struct coil_view *view = &work->view;
    const struct coil_line *line = view->line;
    struct coil_part_set runs = {{false}};

    memset(out, 0, sizeof *out);
    for (int i = 0; i < line->part_count; i++) {
        bool in = false, on = false;

        for (int k = view->in_first[i]; k < view->in_first[i + 1]; k++)
            in = in || work->open.edge[view->in_edge[k]];
        for (int k = view->out_first[i]; k < view->out_first[i + 1]; k++)
            on = on || work->open.edge[view->out_edge[k]];
        runs.has[i] = line->parts[i].kind == COIL_PART_PUMP && in && on &&
                      position->setting[i] != COIL_SET_CLOSED;
    }
    for (int i = 0; i < line->part_count; i++) {
        struct coil_reach up;

        out->has[i] = runs.has[i];
        if (!runs.has[i])
            continue;
        coil_search_from(view, &work->open, COIL_WALK_UP, i, NULL, &up);
        for (int k = 0; k < line->part_count; k++) {
            if (k != i && runs.has[k] && coil_reached(&up, k)) {
                out->has[i] = false;
                *assumptions |= 1u << COIL_ASSUME_PUMPS_IN_ROW;
            }
        }
    }
}

enum coil_status coil_line_flow(const struct coil_line *line, int position,
                                struct coil_line_flow *out)
{
    struct flow_work work;
    struct coil_part_set pumps;
    struct coil_line_flow flow;
    double need[COIL_LINE_PARTS_MAX] = {0.0}, *supply = flow.part_l_per_s;
    enum coil_status status = begin(&work, line, position);

    if (status != COIL_OK)
        return status;
    memset(&flow, 0, sizeof flow);
    keep_through(&work);
    find_pumps(&work, &line->positions[position], &pumps, &flow.assumptions);
    for (int i = line->part_count - 1; i >= 0; i--) { /* upstream of the pumps */
        int p = work.order[i], first = work.view.in_first[p];

        if (pumps.has[p])
            need[p] =
                line->parts[p].flow_l_per_s * line->positions[position].flow_fraction;
        if (!(need[p] > 0.0))
            continue;
        divide(&work, &work.view.in_edge[first], work.view.in_first[p + 1] - first,
               need[p], flow.edge_l_per_s, &flow.assumptions);
        for (int k = first; k < work.view.in_first[p + 1]; k++)
            need[line->edges[work.view.in_edge[k]].from] +=
                flow.edge_l_per_s[work.view.in_edge[k]];
    }
    for (int i = 0; i < line->part_count; i++) { /* downstream */
        int p = work.order[i], first = work.view.out_first[p];

        if (need[p] > 0.0) {
            supply[p] = need[p];
        } else {
            for (int k = work.view.in_first[p]; k < work.view.in_first[p + 1]; k++)
                supply[p] += flow.edge_l_per_s[work.view.in_edge[k]];
        }
        if (supply[p] > 0.0 && (pumps.has[p] || !(need[p] > 0.0)))
            divide(&work, &work.view.out_edge[first],
                   work.view.out_first[p + 1] - first, supply[p], flow.edge_l_per_s,
                   &flow.assumptions);
    }
    *out = flow;
    return COIL_OK;
}

/* How one part's load divides: by flow, or evenly where only a feed moves. */
static double share_of(const struct flow_work *work, const struct coil_line_flow *flow,
                       int part, int edge)
{
    const struct coil_view *view = &work->view;
    double total = 0.0;
    int open = 0;

    for (int k = view->out_first[part]; k < view->out_first[part + 1]; k++) {
        if (!work->open.edge[view->out_edge[k]])
            continue;
        total += flow->edge_l_per_s[view->out_edge[k]];
        open++;
    }
    if (total > 0.0)
        return flow->edge_l_per_s[edge] / total;
    /* A metering pump pushes its feed; everything else that stands, stands. */
    return coil_is_leaf_feeder(view, part) && open > 0 ? 1.0 / open : 0.0;
}

static enum coil_status check_rates(const struct coil_line *line, const double *rate)
{
    for (int i = 0; i < line->part_count; i++) {
        if (!isfinite(rate[i]))
            return COIL_ERR_NOT_FINITE;
        if (!(rate[i] >= 0.0))
            return COIL_ERR_DOMAIN;
    }
    return COIL_OK;
}

enum coil_status coil_line_carry(const struct coil_line *line, int position,
                                 const struct coil_line_flow *flow, const double *rate,
                                 struct coil_line_carry *out)
{
    struct flow_work work;
    struct coil_line_carry carry;
    enum coil_status status = begin(&work, line, position);

    if (status == COIL_OK)
        status = check_rates(line, rate);
    if (status != COIL_OK)
        return status;
    memset(&carry, 0, sizeof carry);
    for (int i = 0; i < line->part_count; i++) {
        int p = work.order[i];
        double load, left;

        for (int k = work.view.in_first[p]; k < work.view.in_first[p + 1]; k++)
            carry.part_in[p] += carry.edge[work.view.in_edge[k]];
        load = left = carry.part_in[p] + rate[p];
        if (coil_part_role(line->parts[p].kind) == COIL_ROLE_OUTLET ||
            coil_part_role(line->parts[p].kind) == COIL_ROLE_POOL) {
            carry.delivered += load;
            continue;
        }
        for (int k = work.view.out_first[p];
             load > 0.0 && k < work.view.out_first[p + 1]; k++) {
            int edge = work.view.out_edge[k];

            if (!work.open.edge[edge])
                continue;
            carry.edge[edge] = load * share_of(&work, flow, p, edge);
            left -= carry.edge[edge];
        }
        if (left > 1e-13 * load) /* the rest is rounding */
            carry.held += left;
    }
    *out = carry;
    return COIL_OK;
}
