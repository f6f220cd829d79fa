/* What the store knows of a heater's past: its states, the runs of pump and burner, its
 * limits. In the form that lib/exposure.h takes. */
#ifndef HEATER_PAST_H
#define HEATER_PAST_H

#include "db.h"
#include "lib/exposure.h"

struct heater_past {
    struct coil_heater_span *states;
    struct coil_pump_span *pump, *burner; /* overlapping runs are one */
    struct coil_limit_span *limits;       /* oldest first; the last is of as_of */
    size_t state_count, pump_count, burner_count, limit_count;
};

/* As of an instant, as db_permit_facts counts facts. DB_NOT_FOUND also when the heater
 * does not serve the water. Gives (heater_past_finish releases, also after a failure). */
enum db_status heater_past_read(struct db *db, int64_t heater_id, int64_t water_id,
                                int64_t as_of, bool by_recorded,
                                struct heater_past *out);
void heater_past_finish(struct heater_past *past); /* a zeroed one is fine */

/* For coil_exposure_sum: everything but the course. */
void heater_past_put(const struct heater_past *past, struct coil_exposure_input *in);

#endif
