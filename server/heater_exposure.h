/* What a heater went through, from the store: lib/exposure.h over the pool's course. */
#ifndef HEATER_EXPOSURE_H
#define HEATER_EXPOSURE_H

#include "app.h"
#include "db.h"
#include "heater_past.h"
#include "line_inlet.h"

#define HEATER_EXPOSURE_STEP_S 900
#define HEATER_EXPOSURE_EVENTS 200

struct heater_exposure_wish {
    int64_t heater_id, water_id, from, until, as_of;
    bool by_recorded;
};

struct heater_exposure {
    struct coil_exposure_total total;
    /* Of the water at the heater's inlet while a line fed before it, the pool's own
     * share included; inlet_count 0: none did. */
    struct line_inlet inlets[LINE_INLETS_MAX];
    size_t inlet_count;
    struct coil_exposure_total at_inlet;
    size_t restarts; /* of the pump meanwhile */
    double surface_rise_k; /* that scaling is judged by, as the heater was said to be at
                              as_of; the illustrative one where it is not known */
    struct coil_exposure_event events[HEATER_EXPOSURE_EVENTS];
    size_t event_count;      /* in events */
    struct heater_past past; /* limits, runs and states that it was judged by */
};

/* Each time by the limits of then; instants past as_of are not looked at. DB_NOT_FOUND
 * also when the heater does not serve the water. Gives out->past (heater_past_finish
 * releases, also after a failure). */
enum db_status heater_exposure_sum(struct db *db,
                                   const struct heater_exposure_wish *wish,
                                   struct heater_exposure *out);

/* A severe event further back than this asks for no inspection of its own any more: the
 * yearly one has come (a convention). */
#define HEATER_SEVERE_LOOK_BACK_S (400 * (int64_t)86400)

/* End of the newest severe part of an event that tests of pH and of free chlorine at or
 * after it show by as_of; 0 for none. Kept while nothing changes, unless by_recorded. */
enum db_status heater_exposure_severe(struct app *app, struct db *db, int64_t heater_id,
                                      int64_t water_id, int64_t as_of, bool by_recorded,
                                      int64_t *out_until);

#endif
