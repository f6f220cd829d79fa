/* What the stored lines of a heater fed into the water just before it. */
#ifndef LINE_INLET_H
#define LINE_INLET_H

#include "db.h"

#define LINE_INLETS_MAX 32

/* One line while it was in force and fed before the heater. */
struct line_inlet {
    int64_t from, until;
    bool has_amount;       /* false: of a feeder before the heater it is not known */
    double added_mg_per_l; /* chlorine at the inlet above the pool's own */
    double ph_shift;       /* of the inlet against the pool; NaN: not known */
};

/*
 * Lines in force between from and until whose faults say that they feed before the
 * heater, oldest first. Their effect is that of the newest readings and the usual
 * position. Of more than LINE_INLETS_MAX versions the newest are looked at.
 */
enum db_status line_inlet_read(struct db *db, int64_t heater_id, int64_t water_id,
                               int64_t from, int64_t until,
                               struct line_inlet out[LINE_INLETS_MAX],
                               size_t *out_count);

#endif
