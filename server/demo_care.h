/* The demo household's care of its heater: plate, yearly visits, flue tests that drift
 * slowly, a symptom. Everything is invented. */
#ifndef DEMO_CARE_H
#define DEMO_CARE_H

#include "db.h"

/* Of the years before now_s, at most three; in the open transaction. */
enum db_status demo_care(struct db *db, int64_t now_s, int64_t heater_id,
                         int64_t owner_id, int64_t technician_id);

#endif
