/* Is a line one that can be judged? Finds the first problem. */
#include "line_private.h"

#include <math.h>
#include <string.h>

static const char *const FIELDS[] = {
#define X(name, key, field, about) field,
    COIL_LINE_PROBLEM_LIST(X)
#undef X
};

static enum coil_status refuse(struct coil_line_problem *problem,
                               enum coil_line_problem_code code)
{
    problem->code = code;
    problem->field = FIELDS[code];
    return COIL_ERR_DOMAIN;
}

static enum coil_status refuse_part(struct coil_line_problem *problem,
                                    enum coil_line_problem_code code, int part)
{
    problem->part = part;
    return refuse(problem, code);
}

static enum coil_status refuse_edge(struct coil_line_problem *problem,
                                    enum coil_line_problem_code code, int edge)
{
    problem->edge = edge;
    return refuse(problem, code);
}

static enum coil_status refuse_position(struct coil_line_problem *problem,
                                        enum coil_line_problem_code code, int position)
{
    problem->position = position;
    return refuse(problem, code);
}

/* Refuses a number of a part unless it lies in low to high. */
static enum coil_status check_number(struct coil_line_problem *problem,
                                     enum coil_line_problem_code code, int part,
                                     double value, double low, double high)
{
    if (value >= low && value <= high)
        return COIL_OK;
    refuse_part(problem, code, part);
    return isfinite(value) ? COIL_ERR_DOMAIN : COIL_ERR_NOT_FINITE;
}

#define LARGEST 1e9   /* of any amount: far beyond a pool, far from overflow */
#define SMALLEST 1e-9 /* of what must be above 0 */

/* ---- parts ---- */

static enum coil_status check_rate(const struct coil_feed *feed, int part,
                                   struct coil_line_problem *problem)
{
    return check_number(problem, COIL_LINE_FEED_RATE, part, feed->rate_g_per_h, 0.0,
                        LARGEST);
}

static enum coil_status check_current(const struct coil_feed *feed, int part,
                                      struct coil_line_problem *problem)
{
    enum coil_status status = check_number(problem, COIL_LINE_FEED_CURRENT, part,
                                           feed->current_a, 0.0, LARGEST);

    if (status == COIL_OK)
        status = check_number(problem, COIL_LINE_FEED_CELLS, part, feed->cell_count,
                              1.0, 1000.0);
    if (status == COIL_OK)
        status = check_number(problem, COIL_LINE_FEED_EFFICIENCY, part,
                              feed->efficiency_fraction, 0.0, 1.0);
    return status;
}

static enum coil_status check_weighed(const struct coil_feed *feed, int part,
                                      struct coil_line_problem *problem)
{
    enum coil_status status = check_number(problem, COIL_LINE_FEED_BEFORE, part,
                                           feed->before_g, 0.0, LARGEST);

    if (status == COIL_OK)
        status = check_number(problem, COIL_LINE_FEED_AFTER, part, feed->after_g, 0.0,
                              feed->before_g);
    if (status == COIL_OK)
        status = check_number(problem, COIL_LINE_FEED_INTERVAL, part, feed->interval_s,
                              1.0, LARGEST);
    if (status == COIL_OK)
        status = check_number(problem, COIL_LINE_FEED_STRENGTH, part,
                              feed->strength_percent, SMALLEST, 100.0);
    return status;
}

/* Acid only where acid is fed, a sanitiser only where chlorine is. */
static bool product_fits(enum coil_source source, enum coil_product product)
{
    const struct coil_product_info *info = coil_product_info(product);

    if ((int)product == 0)
        return true;
    if (info == NULL)
        return false;
    if (source == COIL_SOURCE_ACID)
        return info->kind == COIL_KIND_ACID;
    return source == COIL_SOURCE_CHLORINE && info->kind == COIL_KIND_SANITISER;
}

static enum coil_status check_feed(const struct coil_line *line, int part,
                                   struct coil_line_problem *problem)
{
    const struct coil_feed *feed = &line->parts[part].feed;
    enum coil_part_kind kind = line->parts[part].kind;
    enum coil_source source = coil_part_source(kind);
    bool feeds = source == COIL_SOURCE_CHLORINE || source == COIL_SOURCE_ACID;

    if (kind != COIL_PART_SALT_CELL && !product_fits(source, feed->product))
        return refuse_part(problem, COIL_LINE_FEED_PRODUCT, part);
    if (feed->basis == COIL_FEED_UNKNOWN)
        return COIL_OK;
    if (feeds && feed->basis == COIL_FEED_RATE)
        return check_rate(feed, part, problem);
    if (kind == COIL_PART_SALT_CELL && feed->basis == COIL_FEED_CURRENT)
        return check_current(feed, part, problem);
    if (source == COIL_SOURCE_CHLORINE && kind != COIL_PART_SALT_CELL &&
        feed->basis == COIL_FEED_WEIGHED)
        return check_weighed(feed, part, problem);
    return refuse_part(problem, COIL_LINE_FEED_BASIS, part);
}

static enum coil_status check_pipe(const struct coil_part *p, int part,
                                   struct coil_line_problem *problem)
{
    double inside_m;

    if (coil_pipe_inside_m(p->material, p->size, &inside_m) != COIL_OK) {
        refuse_part(problem, COIL_LINE_PIPE_SIZE, part);
        return COIL_ERR_UNKNOWN;
    }
    return check_number(problem, COIL_LINE_PIPE_LENGTH, part, p->length_m, SMALLEST,
                        LARGEST);
}

static enum coil_status check_heater(const struct coil_part *p, int part,
                                     struct coil_line_problem *problem)
{
    enum coil_status status = check_number(problem, COIL_LINE_MIN_FLOW, part,
                                           p->min_flow_l_per_s, 0.0, LARGEST);

    if (status != COIL_OK || p->max_flow_l_per_s == 0.0)
        return status;
    return check_number(problem, COIL_LINE_MAX_FLOW, part, p->max_flow_l_per_s,
                        fmax(p->min_flow_l_per_s, SMALLEST), LARGEST);
}

static enum coil_status check_part(const struct coil_line *line, int part,
                                   struct coil_line_problem *problem)
{
    const struct coil_part *p = &line->parts[part];
    enum coil_status status = COIL_OK;

    if (coil_part_kind_key(p->kind) == NULL) {
        refuse_part(problem, COIL_LINE_KIND_UNKNOWN, part);
        return COIL_ERR_UNKNOWN;
    }
    if (p->id <= 0)
        return refuse_part(problem, COIL_LINE_ID_INVALID, part);
    for (int i = 0; i < part; i++)
        if (line->parts[i].id == p->id)
            return refuse_part(problem, COIL_LINE_ID_TWICE, part);
    if (coil_part_role(p->kind) == COIL_ROLE_PIPE)
        status = check_pipe(p, part, problem);
    else if (p->kind == COIL_PART_HEATER)
        status = check_heater(p, part, problem);
    else if (p->kind == COIL_PART_PUMP)
        status = check_number(problem, COIL_LINE_PUMP_FLOW, part, p->flow_l_per_s,
                              SMALLEST, LARGEST);
    if (status == COIL_OK)
        status =
            check_number(problem, COIL_LINE_VOLUME, part, p->volume_l, 0.0, LARGEST);
    return status == COIL_OK ? check_feed(line, part, problem) : status;
}

/* How many of each there are. */
static enum coil_status check_counts(const struct coil_line *line,
                                     struct coil_line_problem *problem)
{
    int heaters = 0, pumps = 0, valves = 0, suctions = 0, outlets = 0;

    for (int i = 0; i < line->part_count; i++) {
        enum coil_part_kind kind = line->parts[i].kind;

        if (kind == COIL_PART_HEATER && ++heaters == 2)
            return refuse_part(problem, COIL_LINE_TWO_HEATERS, i);
        if (coil_part_role(kind) == COIL_ROLE_VALVE && ++valves > COIL_LINE_VALVES_MAX)
            return refuse_part(problem, COIL_LINE_TOO_MANY_VALVES, i);
        pumps += kind == COIL_PART_PUMP;
        suctions += coil_part_role(kind) == COIL_ROLE_SUCTION;
        outlets += coil_part_role(kind) == COIL_ROLE_OUTLET;
    }
    if (heaters == 0)
        return refuse(problem, COIL_LINE_NO_HEATER);
    if (pumps == 0)
        return refuse(problem, COIL_LINE_NO_PUMP);
    if (suctions == 0)
        return refuse(problem, COIL_LINE_NO_SUCTION);
    return outlets == 0 ? refuse(problem, COIL_LINE_NO_RETURN) : COIL_OK;
}

/* ---- edges ---- */

static bool port_fits(const struct coil_part *part, enum coil_port port)
{
    return part->kind == COIL_PART_THREE_WAY_VALVE ? (unsigned)port <= COIL_PORT_B
                                                   : port == COIL_PORT_COMMON;
}

static bool edge_repeats(const struct coil_line *line, int edge)
{
    for (int i = 0; i < edge; i++)
        if (line->edges[i].from == line->edges[edge].from &&
            line->edges[i].to == line->edges[edge].to &&
            line->edges[i].from_port == line->edges[edge].from_port &&
            line->edges[i].to_port == line->edges[edge].to_port)
            return true;
    return false;
}

static enum coil_status check_edge(const struct coil_line *line, int edge,
                                   struct coil_line_problem *problem)
{
    const struct coil_edge *e = &line->edges[edge];

    if (e->from < 0 || e->from >= line->part_count)
        return refuse_edge(problem, COIL_LINE_EDGE_FROM, edge);
    if (e->to < 0 || e->to >= line->part_count)
        return refuse_edge(problem, COIL_LINE_EDGE_TO, edge);
    if (e->from == e->to)
        return refuse_edge(problem, COIL_LINE_EDGE_SELF, edge);
    if (edge_repeats(line, edge))
        return refuse_edge(problem, COIL_LINE_EDGE_TWICE, edge);
    if (!port_fits(&line->parts[e->from], e->from_port))
        return refuse_edge(problem, COIL_LINE_EDGE_FROM_PORT, edge);
    if (!port_fits(&line->parts[e->to], e->to_port))
        return refuse_edge(problem, COIL_LINE_EDGE_TO_PORT, edge);
    if (!(e->share >= 0.0 && e->share <= LARGEST)) {
        refuse_edge(problem, COIL_LINE_EDGE_SHARE, edge);
        return isfinite(e->share) ? COIL_ERR_DOMAIN : COIL_ERR_NOT_FINITE;
    }
    if (coil_part_role(line->parts[e->to].kind) == COIL_ROLE_SUCTION &&
        line->parts[e->from].kind != COIL_PART_SKIMMER_TABLETS)
        return refuse_edge(problem, COIL_LINE_INTO_SUCTION, edge);
    if (coil_part_role(line->parts[e->from].kind) == COIL_ROLE_OUTLET)
        return refuse_edge(problem, COIL_LINE_OUT_OF_RETURN, edge);
    return COIL_OK;
}

/* Edges at one valve: [port][0 into it, 1 out of it]. */
static bool valve_is_joined(const struct coil_line *line, int part,
                            enum coil_line_problem_code *out_code)
{
    int count[3][2] = {{0}};
    int in, out;

    for (int i = 0; i < line->edge_count; i++) {
        if (line->edges[i].to == part)
            count[line->edges[i].to_port][0]++;
        if (line->edges[i].from == part)
            count[line->edges[i].from_port][1]++;
    }
    *out_code = COIL_LINE_VALVE_EDGES;
    if (line->parts[part].kind != COIL_PART_THREE_WAY_VALVE)
        return count[0][0] <= 1 && count[0][1] <= 1;
    *out_code = COIL_LINE_THREE_WAY_PORTS;
    for (int port = 0; port < 3; port++)
        if (count[port][0] + count[port][1] > 1)
            return false;
    in = count[COIL_PORT_A][0] + count[COIL_PORT_B][0];
    out = count[COIL_PORT_A][1] + count[COIL_PORT_B][1];
    return !(in && out) && !(in && count[COIL_PORT_COMMON][0]) &&
           !(out && count[COIL_PORT_COMMON][1]);
}

static enum coil_status check_edges(const struct coil_line *line,
                                    struct coil_line_problem *problem)
{
    enum coil_status status = COIL_OK;
    enum coil_line_problem_code code;

    for (int i = 0; i < line->edge_count && status == COIL_OK; i++)
        status = check_edge(line, i, problem);
    for (int i = 0; i < line->part_count && status == COIL_OK; i++)
        if ((coil_part_role(line->parts[i].kind) == COIL_ROLE_VALVE ||
             line->parts[i].kind == COIL_PART_CHECK_VALVE) &&
            !valve_is_joined(line, i, &code))
            status = refuse_part(problem, code, i);
    return status;
}

static enum coil_status check_loops(const struct coil_line *line,
                                    struct coil_line_problem *problem)
{
    struct coil_view view;
    struct coil_open open;
    int length;

    coil_view_init(&view, line);
    coil_open_all(line, &open);
    if (coil_order(&view, &open, true, problem->path, &length))
        return COIL_OK;
    problem->path_length = length;
    return refuse_part(problem, COIL_LINE_LOOP, problem->path[0]);
}

/* ---- positions ---- */

static bool setting_fits(enum coil_part_kind kind, unsigned char setting)
{
    switch (kind) {
    case COIL_PART_THREE_WAY_VALVE:
        return setting <= COIL_SET_B;
    case COIL_PART_TWO_WAY_VALVE:
    case COIL_PART_PUMP:
        return setting <= COIL_SET_CLOSED;
    default:
        return setting == COIL_SET_OPEN;
    }
}

static enum coil_status check_position(const struct coil_line *line, int position,
                                       struct coil_line_problem *problem)
{
    const struct coil_line_position *p = &line->positions[position];

    if (coil_position_kind_key(p->kind) == NULL) {
        refuse_position(problem, COIL_LINE_POSITION_KIND, position);
        return COIL_ERR_UNKNOWN;
    }
    if (p->kind == COIL_POSITION_HEATER_OFF_LINE && p->burner_may_fire)
        return refuse_position(problem, COIL_LINE_BURNER_OFF_LINE, position);
    if (!(p->flow_fraction > 0.0 && p->flow_fraction <= 10.0)) {
        refuse_position(problem, COIL_LINE_FLOW_FRACTION, position);
        return isfinite(p->flow_fraction) ? COIL_ERR_DOMAIN : COIL_ERR_NOT_FINITE;
    }
    for (int i = 0; i < line->part_count; i++) {
        if (!setting_fits(line->parts[i].kind, p->setting[i])) {
            problem->part = i;
            return refuse_position(problem, COIL_LINE_SETTING, position);
        }
    }
    return COIL_OK;
}

static enum coil_status check_sizes(const struct coil_line *line,
                                    struct coil_line_problem *problem)
{
    if (line->part_count < 1)
        return refuse(problem, COIL_LINE_NO_PARTS);
    if (line->part_count > COIL_LINE_PARTS_MAX)
        return refuse(problem, COIL_LINE_TOO_MANY_PARTS);
    if (line->edge_count < 0 || line->edge_count > COIL_LINE_EDGES_MAX)
        return refuse(problem, COIL_LINE_TOO_MANY_EDGES);
    if (line->position_count < 1)
        return refuse(problem, COIL_LINE_NO_POSITION);
    if (line->position_count > COIL_LINE_POSITIONS_MAX)
        return refuse(problem, COIL_LINE_TOO_MANY_POSITIONS);
    return COIL_OK;
}

enum coil_status coil_line_check(const struct coil_line *line,
                                 struct coil_line_problem *out_problem)
{
    enum coil_status status;

    memset(out_problem, 0, sizeof *out_problem);
    out_problem->field = "";
    out_problem->part = out_problem->edge = out_problem->position = -1;
    status = check_sizes(line, out_problem);
    for (int i = 0; status == COIL_OK && i < line->part_count; i++)
        status = check_part(line, i, out_problem);
    if (status == COIL_OK)
        status = check_counts(line, out_problem);
    if (status == COIL_OK)
        status = check_edges(line, out_problem);
    if (status == COIL_OK)
        status = check_loops(line, out_problem);
    for (int i = 0; status == COIL_OK && i < line->position_count; i++)
        status = check_position(line, i, out_problem);
    return status;
}
