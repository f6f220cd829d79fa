/*
 * Notes: what valve positions that nobody declared would make possible.
 *
 * Nothing here tries positions one by one. Let one position be more open than another
 * when every edge open in the other is open in it. All open is the top, all shut the
 * bottom. Opening an edge never takes a way away, so
 *  - "a source can reach the heater" holds in some position if it holds at the top,
 *  - "a pump can be left without a way out" if it holds at the bottom.
 * "The pump runs while no water passes the heater" needs some valves open and others
 * shut. Such a position exists when there is a way w from a suction through a pump to a
 * return so that opening just the valves on w does not bring water to the heater (or
 * from it). A valve has one way through it once it is set, and w follows that way; so
 * the last valve before the heater leads onto w, and water can only leave w for the
 * heater at a part that is joined to the heater without any valve. It is enough to
 * search for a way that avoids those parts. The search is exact on a graph without
 * loops; in one with a loop a way may meet a valve twice. A test compares all of this
 * with every position of up to 14 valves.
 */
#include "line_private.h"

#include <string.h>

static void add_note(struct coil_line_report *report, enum coil_line_note_code code,
                     int part, const struct coil_reach *to_start)
{
    struct coil_line_note *note;

    report->note_total++;
    if (report->note_count == COIL_LINE_NOTES_MAX)
        return;
    note = &report->notes[report->note_count++];
    memset(note, 0, sizeof *note);
    note->code = code;
    note->part = part;
    if (to_start != NULL)
        note->path_length = coil_path_to_start(to_start, part, note->path);
}

static bool has_fault(const struct coil_line_report *report,
                      enum coil_line_fault_code code, int part)
{
    for (int i = 0; i < report->fault_count; i++)
        if (report->faults[i].code == code && report->faults[i].part == part)
            return true;
    return false;
}

static void note_sources(const struct coil_view *view, struct coil_line_report *report)
{
    struct coil_open top;
    struct coil_reach to_heater, drift;

    coil_open_all(view->line, &top);
    coil_search_from(view, &top, COIL_WALK_UP, view->heater, NULL, &to_heater);
    coil_search_from(view, &top, COIL_WALK_DRIFT_TO, view->heater, NULL, &drift);
    for (int i = 0; i < view->line->part_count; i++) {
        int part = view->part[i];
        enum coil_source source = coil_part_source(view->line->parts[part].kind);

        if ((source == COIL_SOURCE_CHLORINE || source == COIL_SOURCE_ACID) &&
            coil_reached(&to_heater, part) &&
            !has_fault(report, COIL_FAULT_CHLORINE_BEFORE_HEATER, part) &&
            !has_fault(report, COIL_FAULT_ACID_BEFORE_HEATER, part))
            add_note(report, COIL_NOTE_SOURCE_COULD_REACH_HEATER, part, &to_heater);
    }
    for (int i = 0; i < view->line->part_count; i++) {
        int part = view->part[i];
        enum coil_source source = coil_part_source(view->line->parts[part].kind);

        if ((source == COIL_SOURCE_CHLORINE || source == COIL_SOURCE_ACID) &&
            !coil_reached(&to_heater, part) && coil_reached(&drift, part) &&
            !has_fault(report, COIL_FAULT_NO_CHECK_VALVE, part))
            add_note(report, COIL_NOTE_FEED_COULD_DRIFT_BACK, part, &drift);
    }
}

/* Parts joined to the heater without a valve between, upstream or downstream. */
static void near_heater(const struct coil_view *view, enum coil_walk walk,
                        struct coil_part_set *out)
{
    struct coil_open bottom;
    struct coil_reach reach;

    coil_open_none(view->line, &bottom);
    coil_search_from(view, &bottom, walk, view->heater, NULL, &reach);
    memset(out, 0, sizeof *out);
    for (int i = 0; i < view->line->part_count; i++)
        out->has[i] = coil_reached(&reach, i);
}

static bool holds_role(const struct coil_view *view, const struct coil_part_set *set,
                       enum coil_role role)
{
    for (int i = 0; i < view->line->part_count; i++)
        if (set->has[i] && coil_part_role(view->line->parts[i].kind) == role)
            return true;
    return false;
}

/* Is there a way suction - pump - return that avoids these parts? */
static bool way_around(const struct coil_view *view, const struct coil_part_set *avoid)
{
    struct coil_part_set suctions, pumps = {{false}};
    struct coil_open top;
    struct coil_reach from, on;

    coil_open_all(view->line, &top);
    coil_set_of_role(view, COIL_ROLE_SUCTION, &suctions);
    coil_search(view, &top, COIL_WALK_DOWN, &suctions, avoid, &from);
    for (int i = 0; i < view->line->part_count; i++)
        pumps.has[i] =
            view->line->parts[i].kind == COIL_PART_PUMP && coil_reached(&from, i);
    coil_search(view, &top, COIL_WALK_DOWN, &pumps, avoid, &on);
    for (int i = 0; i < view->line->part_count; i++)
        if (coil_is_outlet(view, i) && coil_reached(&on, i))
            return true;
    return false;
}

static bool is_off_line_declared(const struct coil_line *line)
{
    for (int i = 0; i < line->position_count; i++)
        if (line->positions[i].kind == COIL_POSITION_HEATER_OFF_LINE)
            return true;
    return false;
}

static void note_heater(const struct coil_view *view, struct coil_line_report *report)
{
    struct coil_part_set up, down, both;
    bool shuts_before, shuts_after, around_up, around_down, around_both;

    near_heater(view, COIL_WALK_UP, &up);
    near_heater(view, COIL_WALK_DOWN, &down);
    for (int i = 0; i < view->line->part_count; i++)
        both.has[i] = up.has[i] || down.has[i];
    shuts_before = !holds_role(view, &up, COIL_ROLE_SUCTION);
    shuts_after = !holds_role(view, &down, COIL_ROLE_OUTLET);
    around_up = shuts_before && way_around(view, &up);
    around_down = shuts_after && way_around(view, &down);
    around_both = shuts_before && shuts_after && way_around(view, &both);
    if (shuts_before && shuts_after)
        add_note(report, COIL_NOTE_HEATER_COULD_BE_SHUT_IN, view->heater, NULL);
    for (int i = 0; i < view->line->part_count; i++) {
        struct coil_open bottom;
        struct coil_reach on;
        bool out = false;
        int part = view->part[i];

        if (view->line->parts[part].kind != COIL_PART_PUMP)
            continue;
        coil_open_none(view->line, &bottom);
        coil_search_from(view, &bottom, COIL_WALK_DOWN, part, NULL, &on);
        for (int k = 0; k < view->line->part_count; k++)
            out = out || (coil_is_outlet(view, k) && coil_reached(&on, k));
        if (!out)
            add_note(report, COIL_NOTE_PUMP_COULD_BE_SHUT, part, NULL);
    }
    if (!around_up && !around_down)
        add_note(report, COIL_NOTE_NO_WAY_AROUND_HEATER, view->heater, NULL);
    else if (!around_both)
        add_note(report, COIL_NOTE_ISOLATES_ONE_SIDE_ONLY, view->heater, NULL);
    if (around_both && !is_off_line_declared(view->line))
        add_note(report, COIL_NOTE_OFF_LINE_NOT_DECLARED, view->heater, NULL);
}

void coil_line_notes(const struct coil_view *view, struct coil_line_report *report)
{
    note_sources(view, report);
    note_heater(view, report);
}
