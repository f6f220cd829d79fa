/* What a heater went through, from the store: lib/exposure.h over the pool's course. */
#ifndef HEATER_EXPOSURE_H
#define HEATER_EXPOSURE_H

#include "app.h"
#include "db.h"
#include "lib/exposure.h"
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
    struct coil_exposure_event events[HEATER_EXPOSURE_EVENTS];
    size_t event_count;                         /* in events */
    double ph_low, free_chlorine_high_mg_per_l; /* NaN: no such limit */
    bool has_pump_runs;
};

/* Limits of as_of; instants past as_of are not looked at. DB_NOT_FOUND also when the
 * heater does not serve the water. */
enum db_status heater_exposure_sum(struct db *db,
                                   const struct heater_exposure_wish *wish,
                                   struct heater_exposure *out);

/* Instant of the newest severe event of the last 14 days, 0 for none; kept while
 * nothing changes. */
enum db_status heater_exposure_severe(struct app *app, struct db *db, int64_t heater_id,
                                      int64_t water_id, int64_t *out_at);

#endif
