#include "line_inlet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "api_line.h"
#include "lib/pipe_feed.h"

/* On the heap: a line and its report are large. */
struct inlet_work {
    struct line_water water;
    struct line_document document;
    struct coil_line_report report;
};

static bool feeds_before(const struct coil_line_stops *stops)
{
    return stops->count > 0 && stops->first <= (int)COIL_FAULT_TABLETS_IN_BASKET;
}

/* Is anything fed before the heater in a position, and how much is it? */
static bool is_fed(const struct coil_line *line, const struct coil_line_report *report,
                   int position, bool *out_knows_amounts)
{
    struct coil_feed_rate rate;
    bool found = false;

    *out_knows_amounts = true;
    for (int i = 0; i < report->fault_count; i++) {
        const struct coil_line_fault *fault = &report->faults[i];

        if ((fault->code != COIL_FAULT_CHLORINE_BEFORE_HEATER &&
             fault->code != COIL_FAULT_ACID_BEFORE_HEATER) ||
            !(fault->positions & 1U << position))
            continue;
        found = true;
        if (coil_feed_rate(&line->parts[fault->part], &rate) != COIL_OK)
            *out_knows_amounts = false;
    }
    return found;
}

static double shift_of(const struct line_water *water,
                       const struct coil_line_feed *feed)
{
    struct coil_equilibrium pool;

    if (!water->is_known || !feed->has_water || !feed->water.has_ph ||
        coil_closed_solve(&water->constants, &water->pool, &pool) < 0)
        return NAN;
    return feed->water.ph - pool.ph;
}

/* False when nothing is fed before the heater in the usual position. */
static bool fill_inlet(struct inlet_work *work, const struct db_line *stored,
                       struct line_inlet *out)
{
    const struct coil_line *line = &work->document.line;
    struct coil_line_problem problem;
    struct coil_line_feed feed;
    int position;
    bool knows_amounts;

    if (!line_document_parse(stored->document, &work->document) ||
        coil_line_find(line, work->water.water_temp_c, &work->report, &problem) !=
            COIL_OK)
        return false;
    position = line_usual_position(line);
    if (!is_fed(line, &work->report, position, &knows_amounts))
        return false;
    out->has_amount =
        knows_amounts && coil_line_feed(line, position, &work->water.constants,
                                        &work->water.pool, &feed) >= 0;
    out->added_mg_per_l = out->has_amount ? feed.added_mg_per_l : 0.0;
    out->ph_shift = out->has_amount ? shift_of(&work->water, &feed) : (double)NAN;
    return true;
}

enum db_status line_inlet_read(struct db *db, int64_t heater_id, int64_t water_id,
                               int64_t from, int64_t until,
                               struct line_inlet out[LINE_INLETS_MAX],
                               size_t *out_count)
{
    struct db_line stored[LINE_INLETS_MAX];
    struct inlet_work *work = malloc(sizeof *work);
    size_t count = 0;
    enum db_status status =
        work == NULL
            ? DB_FAILED
            : db_line_list(db, heater_id, from, until, stored, LINE_INLETS_MAX, &count);

    *out_count = 0;
    if (status == DB_OK && count > 0)
        status = line_water_read(db, heater_id, water_id, until, &work->water);
    for (size_t i = 0; status == DB_OK && i < count; i++) {
        struct line_inlet *inlet = &out[*out_count];

        inlet->from = stored[i].at > from ? stored[i].at : from;
        inlet->until = i + 1 < count ? stored[i + 1].at : until;
        if (feeds_before(&stored[i].stops[COIL_WATER_SIDE]) &&
            fill_inlet(work, &stored[i], inlet))
            ++*out_count;
    }
    for (size_t i = 0; i < count; i++)
        free(stored[i].document);
    free(work);
    return status;
}
