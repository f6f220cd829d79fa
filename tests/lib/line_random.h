/*
 * Random lines, and our own reading of them: reachability as plain repetition until
 * nothing changes, and valve settings read anew. Nothing here is taken from lib/ but
 * the tables of kinds. Static and in the header, so that each test program has its own.
 */
#ifndef COIL_TESTS_LINE_RANDOM_H
#define COIL_TESTS_LINE_RANDOM_H

#include <check.h>
#include <stdint.h>
#include <string.h>

#include "tests/lib/line_build.h"

static struct coil_line line;
static struct coil_line_report report;
static struct coil_line_problem problem;
static uint64_t state;

static inline unsigned dice(unsigned sides)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (unsigned)(state >> 33) % sides;
}

static inline enum coil_role role(int part)
{
    return coil_part_role(line.parts[part].kind);
}

static inline int is_two_way(int part)
{
    return line.parts[part].kind == COIL_PART_TWO_WAY_VALVE ||
           line.parts[part].kind == COIL_PART_CHECK_VALVE;
}

static inline int edges_at(int part, int outgoing)
{
    int count = 0;

    for (int e = 0; e < line.edge_count; e++)
        count += (outgoing ? line.edges[e].from : line.edges[e].to) == part;
    return count;
}

/* The next free port for one more edge at this end, -1 when there is none. A three-way
 * valve takes its first way in as common when its id is even (it divides), else as A.
 */
static inline int free_port(int part, int outgoing)
{
    int have = edges_at(part, outgoing);
    int divides = line.parts[part].id % 2 == 0;

    if (is_two_way(part))
        return have == 0 ? 0 : -1;
    if (line.parts[part].kind != COIL_PART_THREE_WAY_VALVE)
        return 0;
    if (outgoing == divides)
        return have == 0 ? COIL_PORT_A : have == 1 ? COIL_PORT_B : -1;
    return have == 0 ? COIL_PORT_COMMON : -1;
}

/* Joins when rules allow; parts are in order of flow, so that no loop can come. */
static inline int try_join(int from, int to)
{
    int out, in;

    if (from >= to || role(from) == COIL_ROLE_OUTLET || role(to) == COIL_ROLE_SUCTION ||
        role(from) == COIL_ROLE_POOL || role(to) == COIL_ROLE_POOL ||
        line.edge_count == COIL_LINE_EDGES_MAX)
        return 0;
    for (int e = 0; e < line.edge_count; e++)
        if (line.edges[e].from == from && line.edges[e].to == to)
            return 0;
    out = free_port(from, 1);
    in = free_port(to, 0);
    if (out < 0 || in < 0)
        return 0;
    line_join_ports(&line, from, (enum coil_port)out, to, (enum coil_port)in);
    return 1;
}

static inline enum coil_part_kind any_kind(int *valves_left)
{
    static const enum coil_part_kind kinds[] = {COIL_PART_PIPE,
                                                COIL_PART_TEE,
                                                COIL_PART_TEE,
                                                COIL_PART_FILTER,
                                                COIL_PART_CHECK_VALVE,
                                                COIL_PART_FLOW_SWITCH,
                                                COIL_PART_PUMP,
                                                COIL_PART_BYPASS,
                                                COIL_PART_EROSION_FEEDER,
                                                COIL_PART_SALT_CELL,
                                                COIL_PART_CHLORINE_INJECTION,
                                                COIL_PART_ACID_INJECTION,
                                                COIL_PART_SOLAR_COLLECTOR,
                                                COIL_PART_STRAINER_TABLETS,
                                                COIL_PART_OZONE_UNIT};

    if (*valves_left > 0 && dice(3) == 0) {
        --*valves_left;
        return dice(3) ? COIL_PART_TWO_WAY_VALVE : COIL_PART_THREE_WAY_VALVE;
    }
    return kinds[dice(sizeof kinds / sizeof *kinds)];
}

/* Suctions, then anything with a pump and the heater somewhere, then returns. */
static inline void random_line(int middle, int valves, int extra_edges)
{
    int heater = 2 + (int)dice((unsigned)middle - 2);

    line_begin(&line);
    for (int i = 0, n = 1 + (int)dice(3); i < n; i++)
        line_part(&line, i ? COIL_PART_MAIN_DRAIN : COIL_PART_SKIMMER);
    for (int i = 0; i < middle; i++)
        line_part(&line, i == 1        ? COIL_PART_PUMP
                         : i == heater ? COIL_PART_HEATER
                                       : any_kind(&valves));
    for (int i = 0, n = 1 + (int)dice(3); i < n; i++)
        line_part(&line, COIL_PART_RETURN);
    for (int i = 0; i < line.part_count; i++) {
        line.parts[i].is_interlocked = dice(2);
        line.parts[i].volume_l = role(i) == COIL_ROLE_PIPE ? 0 : dice(20);
        if (role(i) == COIL_ROLE_PIPE)
            line.parts[i].length_m = 0.1 + 0.1 * dice(20);
    }
    for (int to = 1; to < line.part_count; to++)
        for (int tries = 0; tries < 20; tries++)
            if (try_join(to - 1 - (int)dice(to < 5 ? (unsigned)to : 5), to))
                break;
    for (int i = 0; i < extra_edges; i++)
        try_join((int)dice((unsigned)line.part_count),
                 (int)dice((unsigned)line.part_count));
    for (int e = 0; e < line.edge_count; e++)
        line.edges[e].share = dice(2) ? 0.25 * (1 + dice(8)) : 0;
}

static inline void random_settings(struct coil_line_position *position)
{
    for (int i = 0; i < line.part_count; i++) {
        position->setting[i] = COIL_SET_OPEN;
        if (line.parts[i].kind == COIL_PART_TWO_WAY_VALVE)
            position->setting[i] = (unsigned char)dice(2);
        else if (line.parts[i].kind == COIL_PART_THREE_WAY_VALVE)
            position->setting[i] = (unsigned char)dice(4);
    }
}

static inline void find(const struct coil_line *which, struct coil_line_report *out)
{
    enum coil_status status = coil_line_find(which, 28, out, &problem);

    ck_assert_msg(status == COIL_OK, "%s at part %d edge %d",
                  coil_line_problem_key(problem.code), problem.part, problem.edge);
}

/* ---- our own reading of a graph ---- */

static inline int lets_through(const struct coil_line *l, int part, unsigned setting,
                               int port)
{
    if (l->parts[part].kind == COIL_PART_TWO_WAY_VALVE)
        return setting == COIL_SET_OPEN;
    if (l->parts[part].kind == COIL_PART_THREE_WAY_VALVE) {
        if (setting == COIL_SET_CLOSED)
            return 0;
        if (port == COIL_PORT_A)
            return setting != COIL_SET_B;
        if (port == COIL_PORT_B)
            return setting != COIL_SET_A;
    }
    return 1;
}

static inline int is_open(const struct coil_line *l, const unsigned char *setting,
                          int e)
{
    return lets_through(l, l->edges[e].from, setting[l->edges[e].from],
                        (int)l->edges[e].from_port) &&
           lets_through(l, l->edges[e].to, setting[l->edges[e].to],
                        (int)l->edges[e].to_port);
}

/* Spreads marks along the flow (or against it) until nothing changes. */
static inline void spread(const struct coil_line *l, const unsigned char *setting,
                          int upwards, char *mark)
{
    int changed = 1;

    while (changed) {
        changed = 0;
        for (int e = 0; e < l->edge_count; e++) {
            int a = upwards ? l->edges[e].to : l->edges[e].from;
            int b = upwards ? l->edges[e].from : l->edges[e].to;

            if (mark[a] && !mark[b] && is_open(l, setting, e))
                mark[b] = 1, changed = 1;
        }
    }
}

/* Concentrate from one part through standing water: along the flow, and against it
 * except into a check valve; the pool's parts pass nothing on. */
static inline void spread_drift(const struct coil_line *l, const unsigned char *setting,
                                int start, char *mark)
{
    int changed = 1;

    memset(mark, 0, COIL_LINE_PARTS_MAX);
    mark[start] = 1;
    while (changed) {
        changed = 0;
        for (int e = 0; e < l->edge_count; e++) {
            int up = l->edges[e].from, down = l->edges[e].to;
            enum coil_role u = coil_part_role(l->parts[up].kind);
            enum coil_role d = coil_part_role(l->parts[down].kind);

            if (!is_open(l, setting, e))
                continue;
            if (mark[up] && !mark[down] && u != COIL_ROLE_SUCTION)
                mark[down] = 1, changed = 1;
            if (mark[down] && !mark[up] && d != COIL_ROLE_OUTLET &&
                l->parts[up].kind != COIL_PART_CHECK_VALVE)
                mark[up] = 1, changed = 1;
        }
    }
}

static inline int heater_of(const struct coil_line *l)
{
    return line_find_kind(l, COIL_PART_HEATER);
}

static inline int is_chlorine(const struct coil_line *l, int part)
{
    return coil_part_source(l->parts[part].kind) == COIL_SOURCE_CHLORINE;
}

static inline int is_feed(const struct coil_line *l, int part)
{
    return is_chlorine(l, part) ||
           coil_part_source(l->parts[part].kind) == COIL_SOURCE_ACID;
}

static inline int has_fault(const struct coil_line_report *r,
                            enum coil_line_fault_code code, int part)
{
    for (int i = 0; i < r->fault_count; i++)
        if (r->faults[i].code == code && r->faults[i].part == part)
            return 1;
    return 0;
}

static inline int has_note(const struct coil_line_report *r,
                           enum coil_line_note_code code, int part)
{
    for (int i = 0; i < r->note_count; i++)
        if (r->notes[i].code == code && (part < 0 || r->notes[i].part == part))
            return 1;
    return 0;
}

#endif
