/*
 * Builds lines for tests: parts and edges one after the other. Static and in the
 * header, so that each test program has its own.
 */
#ifndef COIL_TESTS_LINE_BUILD_H
#define COIL_TESTS_LINE_BUILD_H

#include <string.h>

#include "lib/line.h"

/* An empty line with one position, "normal", everything open. */
static inline void line_begin(struct coil_line *line)
{
    memset(line, 0, sizeof *line);
    line->position_count = 1;
    line->positions[0].kind = COIL_POSITION_NORMAL;
    line->positions[0].burner_may_fire = true;
    line->positions[0].flow_fraction = 1.0;
}

/* Adds a part with ordinary values for its kind; returns its index. */
static inline int line_part(struct coil_line *line, enum coil_part_kind kind)
{
    int index = line->part_count++;
    struct coil_part *part = &line->parts[index];

    memset(part, 0, sizeof *part);
    part->id = index + 1;
    part->kind = kind;
    part->is_interlocked = true;
    if (kind == COIL_PART_PIPE || kind == COIL_PART_BYPASS) {
        part->size = COIL_PIPE_2;
        part->length_m = 2.0;
    }
    if (kind == COIL_PART_PUMP)
        part->flow_l_per_s = 2.0;
    return index;
}

static inline int line_join_ports(struct coil_line *line, int from,
                                  enum coil_port from_port, int to,
                                  enum coil_port to_port)
{
    line->edges[line->edge_count].from = from;
    line->edges[line->edge_count].from_port = from_port;
    line->edges[line->edge_count].to = to;
    line->edges[line->edge_count].to_port = to_port;
    return line->edge_count++;
}

static inline int line_join(struct coil_line *line, int from, int to)
{
    return line_join_ports(line, from, COIL_PORT_COMMON, to, COIL_PORT_COMMON);
}

/* A chain of kinds, 0 at the end of the list; returns the index of its first part. The
 * others follow in order. */
static inline int line_chain(struct coil_line *line, const enum coil_part_kind *kinds)
{
    int first = line->part_count;

    for (int i = 0; kinds[i] != 0; i++) {
        int part = line_part(line, kinds[i]);

        if (i > 0)
            line_join(line, part - 1, part);
    }
    return first;
}

/* Index of the first part of a kind, -1 when there is none. */
static inline int line_find_kind(const struct coil_line *line, enum coil_part_kind kind)
{
    for (int i = 0; i < line->part_count; i++)
        if (line->parts[i].kind == kind)
            return i;
    return -1;
}

/* Adds one more position, all open; returns its index. */
static inline int line_position(struct coil_line *line, enum coil_position_kind kind)
{
    int index = line->position_count++;

    memset(&line->positions[index], 0, sizeof line->positions[index]);
    line->positions[index].kind = kind;
    line->positions[index].burner_may_fire = kind != COIL_POSITION_HEATER_OFF_LINE;
    line->positions[index].flow_fraction = 1.0;
    return index;
}

#endif
