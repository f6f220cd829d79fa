#include "line_private.h"

#include <string.h>

static bool part_before(const struct coil_line *line, int a, int b)
{
    if (line->parts[a].id != line->parts[b].id)
        return line->parts[a].id < line->parts[b].id;
    return a < b;
}

/* Insertion sort: 200 parts at most. */
static void sort_parts(struct coil_view *view)
{
    const struct coil_line *line = view->line;

    for (int i = 0; i < line->part_count; i++) {
        int place = i;

        for (; place > 0 && part_before(line, i, view->part[place - 1]); place--)
            view->part[place] = view->part[place - 1];
        view->part[place] = (uint8_t)i;
    }
    for (int i = 0; i < line->part_count; i++)
        view->rank[view->part[i]] = (uint8_t)i;
}

/* Puts the edges of each part side by side, ordered by the id of the other end. */
static void sort_edges(const struct coil_view *view, bool outgoing, int *first,
                       uint16_t *edges)
{
    const struct coil_line *line = view->line;
    int fill[COIL_LINE_PARTS_MAX + 1] = {0};

    for (int i = 0; i < line->edge_count; i++)
        fill[(outgoing ? line->edges[i].from : line->edges[i].to) + 1]++;
    for (int i = 0; i < line->part_count; i++)
        fill[i + 1] += fill[i];
    memcpy(first, fill, (size_t)(line->part_count + 1) * sizeof *first);
    for (int i = 0; i < line->edge_count; i++) {
        const struct coil_edge *e = &line->edges[i];
        int near = outgoing ? e->from : e->to;
        int far_rank = view->rank[outgoing ? e->to : e->from];
        int place = fill[near]++;

        for (; place > first[near]; place--) {
            const struct coil_edge *b = &line->edges[edges[place - 1]];

            if (view->rank[outgoing ? b->to : b->from] <= far_rank)
                break;
            edges[place] = edges[place - 1];
        }
        edges[place] = (uint16_t)i;
    }
}

void coil_view_init(struct coil_view *view, const struct coil_line *line)
{
    view->line = line;
    view->heater = -1;
    sort_parts(view);
    for (int i = 0; i < line->part_count; i++)
        if (line->parts[i].kind == COIL_PART_HEATER)
            view->heater = i;
    sort_edges(view, true, view->out_first, view->out_edge);
    sort_edges(view, false, view->in_first, view->in_edge);
}

/* Does this part's setting let water through the port at which an edge ends? */
static bool end_is_open(const struct coil_part *part, unsigned char setting,
                        enum coil_port port)
{
    switch (part->kind) {
    case COIL_PART_TWO_WAY_VALVE:
        return setting != COIL_SET_CLOSED;
    case COIL_PART_THREE_WAY_VALVE:
        /* With the common port shut the branches stay joined, but as both lie on one
         * side of the flow nothing moves between them. */
        if (setting == COIL_SET_CLOSED)
            return false;
        return !(setting == COIL_SET_A && port == COIL_PORT_B) &&
               !(setting == COIL_SET_B && port == COIL_PORT_A);
    default:
        return true;
    }
}

void coil_open_of_position(const struct coil_line *line,
                           const struct coil_line_position *position,
                           struct coil_open *out)
{
    for (int i = 0; i < line->edge_count; i++) {
        const struct coil_edge *e = &line->edges[i];

        out->edge[i] =
            end_is_open(&line->parts[e->from], position->setting[e->from],
                        e->from_port) &&
            end_is_open(&line->parts[e->to], position->setting[e->to], e->to_port);
    }
}

void coil_open_all(const struct coil_line *line, struct coil_open *out)
{
    for (int i = 0; i < line->edge_count; i++)
        out->edge[i] = true;
}

void coil_open_none(const struct coil_line *line, struct coil_open *out)
{
    for (int i = 0; i < line->edge_count; i++) {
        const struct coil_edge *e = &line->edges[i];

        out->edge[i] = coil_part_role(line->parts[e->from].kind) != COIL_ROLE_VALVE &&
                       coil_part_role(line->parts[e->to].kind) != COIL_ROLE_VALVE;
    }
}

bool coil_is_suction(const struct coil_view *view, int part)
{
    return coil_part_role(view->line->parts[part].kind) == COIL_ROLE_SUCTION;
}

bool coil_is_outlet(const struct coil_view *view, int part)
{
    return coil_part_role(view->line->parts[part].kind) == COIL_ROLE_OUTLET;
}

bool coil_is_leaf_feeder(const struct coil_view *view, int part)
{
    return view->in_first[part] == view->in_first[part + 1] &&
           coil_part_source(view->line->parts[part].kind) != COIL_SOURCE_NONE;
}

void coil_set_of_role(const struct coil_view *view, enum coil_role role,
                      struct coil_part_set *out)
{
    memset(out, 0, sizeof *out);
    for (int i = 0; i < view->line->part_count; i++)
        out->has[i] = coil_part_role(view->line->parts[i].kind) == role;
}

struct queue {
    int head;
    int tail;
    uint8_t part[COIL_LINE_PARTS_MAX];
};

static void visit(struct coil_reach *reach, struct queue *queue,
                  const struct coil_part_set *blocked, int part, int step)
{
    if (reach->step[part] != COIL_NOT_REACHED || (blocked && blocked->has[part]))
        return;
    reach->step[part] = (int16_t)step;
    queue->part[queue->tail++] = (uint8_t)part;
}

/* Nothing passes through a part that stands in the pool. */
static bool is_end(const struct coil_view *view, int part)
{
    enum coil_role role = coil_part_role(view->line->parts[part].kind);

    return role == COIL_ROLE_SUCTION || role == COIL_ROLE_OUTLET ||
           role == COIL_ROLE_POOL;
}

static void expand(const struct coil_view *view, const struct coil_open *open,
                   enum coil_walk walk, int part, const struct coil_part_set *blocked,
                   struct coil_reach *reach, struct queue *queue)
{
    const struct coil_line *line = view->line;
    bool both = walk == COIL_WALK_BOTH || walk == COIL_WALK_DRIFT_TO;
    /* Nothing drifts against the flow into a check valve. */
    bool down =
        walk != COIL_WALK_UP && !(walk == COIL_WALK_DRIFT_TO &&
                                  line->parts[part].kind == COIL_PART_CHECK_VALVE);

    if (both && reach->step[part] != COIL_START && is_end(view, part))
        return;
    if (walk != COIL_WALK_DOWN)
        for (int i = view->in_first[part]; i < view->in_first[part + 1]; i++)
            if (open->edge[view->in_edge[i]])
                visit(reach, queue, blocked, line->edges[view->in_edge[i]].from, part);
    if (down)
        for (int i = view->out_first[part]; i < view->out_first[part + 1]; i++)
            if (open->edge[view->out_edge[i]])
                visit(reach, queue, blocked, line->edges[view->out_edge[i]].to, part);
}

void coil_search(const struct coil_view *view, const struct coil_open *open,
                 enum coil_walk walk, const struct coil_part_set *start,
                 const struct coil_part_set *blocked, struct coil_reach *out)
{
    struct queue queue = {0, 0, {0}};

    for (int i = 0; i < view->line->part_count; i++)
        out->step[i] = COIL_NOT_REACHED;
    for (int i = 0; i < view->line->part_count; i++)
        if (start->has[view->part[i]])
            visit(out, &queue, blocked, view->part[i], COIL_START);
    while (queue.head < queue.tail)
        expand(view, open, walk, queue.part[queue.head++], blocked, out, &queue);
}

void coil_search_from(const struct coil_view *view, const struct coil_open *open,
                      enum coil_walk walk, int start,
                      const struct coil_part_set *blocked, struct coil_reach *out)
{
    struct coil_part_set set = {{false}};

    set.has[start] = true;
    coil_search(view, open, walk, &set, blocked, out);
}

int coil_path_to_start(const struct coil_reach *reach, int part, uint8_t *out_path)
{
    int length = 0;

    for (; part >= 0; part = reach->step[part])
        out_path[length++] = (uint8_t)part;
    return length;
}

int coil_path_from_start(const struct coil_reach *reach, int part, uint8_t *out_path)
{
    int length = coil_path_to_start(reach, part, out_path);

    for (int i = 0; i < length / 2; i++) {
        uint8_t kept = out_path[i];

        out_path[i] = out_path[length - 1 - i];
        out_path[length - 1 - i] = kept;
    }
    return length;
}

/* Does the edge count, with pumps left out or not? */
static bool counts(const struct coil_view *view, const struct coil_open *open,
                   bool skip_pumps, int edge)
{
    const struct coil_edge *e = &view->line->edges[edge];

    return open->edge[edge] &&
           !(skip_pumps && (view->line->parts[e->from].kind == COIL_PART_PUMP ||
                            view->line->parts[e->to].kind == COIL_PART_PUMP));
}

/* Every part that is left has one upstream that is left: walk up until one repeats. */
static int find_loop(const struct coil_view *view, const struct coil_open *open,
                     bool skip_pumps, const int *waiting, uint8_t *out_path)
{
    int at[COIL_LINE_PARTS_MAX];
    uint8_t walk[COIL_LINE_PARTS_MAX];
    int part = -1, length = 0;

    for (int i = 0; i < view->line->part_count; i++)
        at[i] = -1;
    for (int i = view->line->part_count - 1; i >= 0; i--)
        if (waiting[view->part[i]] > 0)
            part = view->part[i];
    while (at[part] < 0) {
        at[part] = length;
        walk[length++] = (uint8_t)part;
        for (int i = view->in_first[part]; i < view->in_first[part + 1]; i++) {
            int edge = view->in_edge[i];

            if (counts(view, open, skip_pumps, edge) &&
                waiting[view->line->edges[edge].from] > 0) {
                part = view->line->edges[edge].from;
                break;
            }
        }
    }
    length -= at[part];
    for (int i = 0; i < length; i++) /* walked upwards: turn it round */
        out_path[i] = walk[at[part] + length - 1 - i];
    return length;
}

bool coil_order(const struct coil_view *view, const struct coil_open *open,
                bool skip_pumps, uint8_t *out_order, int *out_loop_length)
{
    const struct coil_line *line = view->line;
    int waiting[COIL_LINE_PARTS_MAX] = {0};
    int head = 0, tail = 0;

    *out_loop_length = 0;
    for (int i = 0; i < line->edge_count; i++)
        waiting[line->edges[i].to] += counts(view, open, skip_pumps, i);
    for (int i = 0; i < line->part_count; i++)
        if (waiting[view->part[i]] == 0)
            out_order[tail++] = view->part[i];
    while (head < tail) {
        int part = out_order[head++];

        for (int i = view->out_first[part]; i < view->out_first[part + 1]; i++) {
            int edge = view->out_edge[i];

            if (counts(view, open, skip_pumps, edge) &&
                --waiting[line->edges[edge].to] == 0)
                out_order[tail++] = (uint8_t)line->edges[edge].to;
        }
    }
    if (tail == line->part_count)
        return true;
    *out_loop_length = find_loop(view, open, skip_pumps, waiting, out_order);
    return false;
}
