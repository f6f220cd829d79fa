/* Faults of what feeds: where it stands, what holds it back, what it meets. */
#include "line_faults_private.h"

#include <math.h>

static enum coil_source source_at(const struct coil_finder *finder, int part)
{
    return coil_part_source(finder->line->parts[part].kind);
}

static bool feeds(const struct coil_finder *finder, int part)
{
    return source_at(finder, part) == COIL_SOURCE_CHLORINE ||
           source_at(finder, part) == COIL_SOURCE_ACID;
}

/* A feeder that is driven, so that flow can stop it: not one that just dissolves. */
static bool is_driven(enum coil_part_kind kind)
{
    return kind == COIL_PART_SALT_CELL || kind == COIL_PART_CHLORINE_INJECTION ||
           kind == COIL_PART_ACID_INJECTION || kind == COIL_PART_OZONE_UNIT;
}

static bool runs_free(const struct coil_finder *finder, int part)
{
    const struct coil_part *p = &finder->line->parts[part];

    return is_driven(p->kind) && !p->is_interlocked;
}

/* ---- sources and the heater ---- */

/* Where a source may stand: behind the last check valve on the way from the heater to a
 * return, else as the last part before the return. -1: nowhere yet. */
static int place_after_heater(const struct coil_at_position *at,
                              const struct coil_finder *finder,
                              bool *out_needs_check_valve)
{
    uint8_t path[COIL_LINE_PARTS_MAX];
    int length = 0, found = -1;

    *out_needs_check_valve = true;
    for (int i = 0; i < finder->line->part_count && length == 0; i++)
        if (coil_is_outlet(&finder->view, finder->view.part[i]) &&
            coil_reached(&at->from_heater, finder->view.part[i]))
            length = coil_path_from_start(&at->from_heater, finder->view.part[i], path);
    for (int i = 0; i < length - 1; i++)
        if (finder->line->parts[path[i]].kind == COIL_PART_CHECK_VALVE)
            found = path[i];
    if (found >= 0) {
        *out_needs_check_valve = false;
        return found;
    }
    return length >= 2 ? path[length - 2] : -1;
}

static void find_before_heater(struct coil_finder *finder, enum coil_source source,
                               enum coil_line_fault_code code)
{
    for (int s = 0; s < finder->line->position_count; s++) {
        const struct coil_at_position *at = &finder->at[s];

        for (int i = 0; i < finder->line->part_count; i++) {
            int part = finder->view.part[i];
            struct coil_line_fault *fault;
            bool is_new;

            if (source_at(finder, part) != source ||
                !coil_reached(&at->to_heater, part))
                continue;
            fault = coil_mark(finder, code, part, s, &is_new);
            if (!is_new || fault == NULL)
                continue;
            fault->other = finder->view.heater;
            fault->path_length = coil_path_to_start(&at->to_heater, part, fault->path);
            fault->change_after =
                place_after_heater(at, finder, &fault->change_needs_check_valve);
        }
    }
}

void coil_find_chlorine_before(struct coil_finder *finder)
{
    find_before_heater(finder, COIL_SOURCE_CHLORINE, COIL_FAULT_CHLORINE_BEFORE_HEATER);
}

void coil_find_acid_before(struct coil_finder *finder)
{
    find_before_heater(finder, COIL_SOURCE_ACID, COIL_FAULT_ACID_BEFORE_HEATER);
}

void coil_find_ozone_before(struct coil_finder *finder)
{
    find_before_heater(finder, COIL_SOURCE_OZONE, COIL_FAULT_OZONE_BEFORE_HEATER);
}

void coil_find_basket_tablets(struct coil_finder *finder)
{
    for (int i = 0; i < finder->line->part_count; i++) {
        int part = finder->view.part[i];
        enum coil_part_kind kind = finder->line->parts[part].kind;

        if (kind != COIL_PART_SKIMMER_TABLETS && kind != COIL_PART_STRAINER_TABLETS)
            continue;
        for (int s = 0; s < finder->line->position_count; s++)
            coil_mark_part(finder, COIL_FAULT_TABLETS_IN_BASKET, part, s);
    }
}

/* A feeder after the heater (or beside it) whose concentrate drifts back when the water
 * stands. Those before the heater have the worse fault already. */
void coil_find_no_check_valve(struct coil_finder *finder)
{
    for (int s = 0; s < finder->line->position_count; s++) {
        const struct coil_at_position *at = &finder->at[s];

        for (int i = 0; i < finder->line->part_count; i++) {
            int part = finder->view.part[i];
            struct coil_line_fault *fault;
            bool is_new;

            if (!feeds(finder, part) || coil_reached(&at->to_heater, part) ||
                !coil_reached(&at->drift, part))
                continue;
            fault = coil_mark(finder, COIL_FAULT_NO_CHECK_VALVE, part, s, &is_new);
            if (!is_new || fault == NULL)
                continue;
            fault->other = finder->view.heater;
            fault->path_length = coil_path_to_start(&at->drift, part, fault->path);
            fault->change_after = fault->path[1];
        }
    }
}

void coil_find_not_interlocked(struct coil_finder *finder)
{
    for (int i = 0; i < finder->line->part_count; i++)
        for (int s = 0; s < finder->line->position_count; s++)
            if (runs_free(finder, finder->view.part[i]))
                coil_mark_part(finder, COIL_FAULT_FEED_NOT_INTERLOCKED,
                               finder->view.part[i], s);
}

/* ---- acid and chlorine together ---- */

/* Puts the nearest chlorine source of those reached into the fault. */
static void mark_pair(struct coil_finder *finder, enum coil_line_fault_code code,
                      int acid, int chlorine, int position,
                      const struct coil_reach *from_acid, double distance_m)
{
    bool is_new;
    struct coil_line_fault *fault = coil_mark(finder, code, acid, position, &is_new);

    if (!is_new || fault == NULL)
        return;
    fault->other = chlorine;
    fault->path_length = coil_path_from_start(from_acid, chlorine, fault->path);
    fault->value = distance_m;
    fault->limit = code == COIL_FAULT_ACID_NEAR_CHLORINE ? COIL_LINE_NEAR_M : 0.0;
}

/*
 * Acid and chlorine that both go on feeding into one stopped line: they meet in it, and
 * the restart sends the mixture, and chlorine gas, on its way [cdc-mmwr-66-19].
 */
void coil_find_acid_and_chlorine_stopped(struct coil_finder *finder)
{
    for (int s = 0; s < finder->line->position_count; s++) {
        for (int i = 0; i < finder->line->part_count; i++) {
            int acid = finder->view.part[i];
            int nearest = -1, steps = 0;
            struct coil_reach from;

            if (source_at(finder, acid) != COIL_SOURCE_ACID || !runs_free(finder, acid))
                continue;
            coil_search_from(&finder->view, &finder->at[s].open, COIL_WALK_BOTH, acid,
                             NULL, &from);
            for (int k = 0; k < finder->line->part_count; k++) {
                int part = finder->view.part[k];
                uint8_t path[COIL_LINE_PARTS_MAX];
                int length;

                if (source_at(finder, part) != COIL_SOURCE_CHLORINE ||
                    !coil_reached(&from, part) ||
                    (is_driven(finder->line->parts[part].kind) &&
                     !runs_free(finder, part)))
                    continue;
                length = coil_path_to_start(&from, part, path);
                if (nearest < 0 || length < steps) {
                    nearest = part;
                    steps = length;
                }
            }
            if (nearest >= 0)
                mark_pair(finder, COIL_FAULT_ACID_AND_CHLORINE_STOPPED, acid, nearest,
                          s, &from, 0.0);
        }
    }
}

/* Pipe length inside a part, which counts when water passes it. */
static double length_of(const struct coil_finder *finder, int part)
{
    return coil_part_role(finder->line->parts[part].kind) == COIL_ROLE_PIPE
               ? finder->line->parts[part].length_m
               : 0.0;
}

/* Tanks mix what passes them; the pool is larger still. */
static bool keeps_apart(const struct coil_finder *finder, int part)
{
    enum coil_part_kind kind = finder->line->parts[part].kind;
    enum coil_role role = coil_part_role(kind);

    return kind == COIL_PART_FILTER || kind == COIL_PART_HEATER ||
           role == COIL_ROLE_SUCTION || role == COIL_ROLE_OUTLET ||
           role == COIL_ROLE_POOL;
}

static void relax(const struct coil_finder *finder, int part, int next,
                  double *distance_m, struct coil_reach *reach)
{
    double there = distance_m[part] + length_of(finder, next);

    if (keeps_apart(finder, next) || !(there < distance_m[next]))
        return;
    distance_m[next] = there;
    reach->step[next] = (int16_t)part;
}

/* Shortest pipe from one part to every other, either way along open edges (Dijkstra).
 */
static void measure(const struct coil_finder *finder, const struct coil_open *open,
                    int start, double *distance_m, struct coil_reach *reach)
{
    const struct coil_view *view = &finder->view;
    bool done[COIL_LINE_PARTS_MAX] = {false};

    for (int i = 0; i < finder->line->part_count; i++) {
        distance_m[i] = INFINITY;
        reach->step[i] = COIL_NOT_REACHED;
    }
    distance_m[start] = 0.0;
    reach->step[start] = COIL_START;
    for (;;) {
        int part = -1;

        for (int i = 0; i < finder->line->part_count; i++) {
            int p = view->part[i];

            if (!done[p] && distance_m[p] < COIL_LINE_NEAR_M &&
                (part < 0 || distance_m[p] < distance_m[part]))
                part = p;
        }
        if (part < 0)
            return;
        done[part] = true;
        for (int k = view->out_first[part]; k < view->out_first[part + 1]; k++)
            if (open->edge[view->out_edge[k]])
                relax(finder, part, finder->line->edges[view->out_edge[k]].to,
                      distance_m, reach);
        for (int k = view->in_first[part]; k < view->in_first[part + 1]; k++)
            if (open->edge[view->in_edge[k]])
                relax(finder, part, finder->line->edges[view->in_edge[k]].from,
                      distance_m, reach);
    }
}

void coil_find_acid_near_chlorine(struct coil_finder *finder)
{
    double distance_m[COIL_LINE_PARTS_MAX];
    struct coil_reach reach;

    for (int s = 0; s < finder->line->position_count; s++) {
        for (int i = 0; i < finder->line->part_count; i++) {
            int acid = finder->view.part[i], nearest = -1;

            if (source_at(finder, acid) != COIL_SOURCE_ACID)
                continue;
            measure(finder, &finder->at[s].open, acid, distance_m, &reach);
            for (int k = 0; k < finder->line->part_count; k++) {
                int part = finder->view.part[k];

                if (source_at(finder, part) == COIL_SOURCE_CHLORINE &&
                    distance_m[part] < COIL_LINE_NEAR_M &&
                    (nearest < 0 || distance_m[part] < distance_m[nearest]))
                    nearest = part;
            }
            if (nearest >= 0)
                mark_pair(finder, COIL_FAULT_ACID_NEAR_CHLORINE, acid, nearest, s,
                          &reach, distance_m[nearest]);
        }
    }
}
