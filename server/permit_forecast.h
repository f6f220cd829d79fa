/* What a pool's forecast adds to the permit's facts and says about the way back. */
#ifndef PERMIT_FORECAST_H
#define PERMIT_FORECAST_H

#include "app.h"
#include "db.h"
#include "lib/permit.h"

/*
 * Adds to facts that db_permit_facts filled when the bands of pH and free chlorine touch
 * a wall, where a forecast can say. Same instant and water; leaves them 0 otherwise.
 */
enum db_status permit_forecast_add(struct app *app, struct db *db, int64_t water_id,
                                   bool by_recorded, struct coil_permit_facts *facts);

/* Is it a hold that the water's own course ends, by strong chlorine, low pH or a dosed
 * plan? Then a household waits for a time, and a missing one must be said. */
bool permit_waits_for_water(const struct coil_permit_facts *facts,
                            const struct coil_verdict *verdict);

/* Of a hold by strong chlorine or low pH: when both are likely back, at or after now_s.
 * False: none of the two holds, or it cannot be said. */
bool permit_forecast_back(struct app *app, struct db *db, int64_t water_id,
                          bool by_recorded, const struct coil_permit_facts *facts,
                          const struct coil_verdict *verdict, int64_t *out_earliest,
                          int64_t *out_latest);

#endif
