/*
 * What the line_*.c files share: the graph in an order that does not depend on how it
 * was listed, open edges of a position, and one search. Nobody else includes this.
 */
#ifndef COIL_LINE_PRIVATE_H
#define COIL_LINE_PRIVATE_H

#include "line.h"

/* The graph, ordered by ids. Borrows the line. */
struct coil_view {
    const struct coil_line *line;
    int heater;
    uint8_t part[COIL_LINE_PARTS_MAX];      /* indexes of parts by rising id */
    uint8_t rank[COIL_LINE_PARTS_MAX];      /* place of a part in that order */
    int out_first[COIL_LINE_PARTS_MAX + 1]; /* edges that leave part p: out_edge from */
    int in_first[COIL_LINE_PARTS_MAX + 1]; /* out_first[p] to before out_first[p + 1] */
    uint16_t out_edge[COIL_LINE_EDGES_MAX];
    uint16_t in_edge[COIL_LINE_EDGES_MAX];
};

/* The line must have passed coil_line_check, or at least hold only existing parts. */
void coil_view_init(struct coil_view *view, const struct coil_line *line);

/* A set of parts or of edges. */
struct coil_part_set {
    bool has[COIL_LINE_PARTS_MAX];
};
struct coil_open {
    bool edge[COIL_LINE_EDGES_MAX];
};

/* Open edges of a declared position; of all open; of all shut. */
void coil_open_of_position(const struct coil_line *line,
                           const struct coil_line_position *position,
                           struct coil_open *out);
void coil_open_all(const struct coil_line *line, struct coil_open *out);
void coil_open_none(const struct coil_line *line, struct coil_open *out);

enum coil_walk {
    COIL_WALK_DOWN,    /* along the flow */
    COIL_WALK_UP,      /* against it */
    COIL_WALK_BOTH,    /* either way; the pool's parts are ends */
    COIL_WALK_DRIFT_TO /* from where concentrate drifts to the start, through standing
                          water; not backwards through check valves */
};

/* step[p]: the part before p on the shortest way from the start; COIL_START at a start,
 * COIL_NOT_REACHED when there is no way. */
#define COIL_START (-1)
#define COIL_NOT_REACHED (-2)
struct coil_reach {
    int16_t step[COIL_LINE_PARTS_MAX];
};

/*
 * Breadth-first search from all parts of start at once, lower ids first.
 * blocked  parts that may not be entered or started from; NULL: none
 */
void coil_search(const struct coil_view *view, const struct coil_open *open,
                 enum coil_walk walk, const struct coil_part_set *start,
                 const struct coil_part_set *blocked, struct coil_reach *out);
/* The same from one part. */
void coil_search_from(const struct coil_view *view, const struct coil_open *open,
                      enum coil_walk walk, int start,
                      const struct coil_part_set *blocked, struct coil_reach *out);

static inline bool coil_reached(const struct coil_reach *reach, int part)
{
    return reach->step[part] != COIL_NOT_REACHED;
}

/* Parts from part to the start of the search, in that order; returns how many. */
int coil_path_to_start(const struct coil_reach *reach, int part, uint8_t *out_path);
/* The same from the start to part. */
int coil_path_from_start(const struct coil_reach *reach, int part, uint8_t *out_path);

bool coil_is_suction(const struct coil_view *view, int part);
bool coil_is_outlet(const struct coil_view *view, int part);
/* A feeder that no edge leads into: a metering pump that ends in the line. */
bool coil_is_leaf_feeder(const struct coil_view *view, int part);
void coil_set_of_role(const struct coil_view *view, enum coil_role role,
                      struct coil_part_set *out);

/* Parts in an order in which every open edge leads onwards; false when there is a loop,
 * which then stands in out_order (loop_length parts in order of flow).
 * skip_pumps: edges of pumps count as shut. */
bool coil_order(const struct coil_view *view, const struct coil_open *open,
                bool skip_pumps, uint8_t *out_order, int *out_loop_length);

/* Notes, in line_positions.c. */
void coil_line_notes(const struct coil_view *view, struct coil_line_report *report);

#endif
