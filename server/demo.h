/*
 * Fills an empty store with the invented household of fixtures/demo, ending now.
 */
#ifndef DEMO_H
#define DEMO_H

#include "clock.h"
#include "db.h"

/*
 * Writes the whole scenario in one transaction of its own: all of it is there
 * afterwards, or nothing. Each fact's recorded_at is what the scenario says.
 *
 * DB_CONFLICT when the store already has a site; DB_FAILED also when the machine lacks
 * the data of the scenario's time zone; else what the store answered.
 */
enum db_status demo_fill(struct db *db, const struct clock *clock);

#endif
