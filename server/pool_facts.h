/*
 * A water's history in the form that the fit of lib/chlorine_fit.h takes, and the fit
 * itself, kept while nothing changes.
 */
#ifndef POOL_FACTS_H
#define POOL_FACTS_H

#include "app.h"
#include "db.h"
#include "lib/chlorine_fit.h"

struct pool_facts {
    struct coil_fit_pool pool;
    struct coil_pool_fact *facts; /* in order of their instants */
    size_t count;
};

/*
 * Facts of a water as of an instant, as db_permit_facts counts them. Doses become rises
 * by the volume that the water had then; one whose effect cannot be told is NaN. Gives
 * facts (pool_facts_finish releases).
 */
enum db_status pool_facts_read(struct db *db, int64_t water_id, int64_t as_of,
                               bool by_recorded, struct pool_facts *out);
void pool_facts_finish(struct pool_facts *facts); /* a zeroed one is fine */
/* The facts as of now, read once between two changes of the store. Gives facts, as
 * above. Safe from any thread. */
enum db_status pool_facts_copy(struct app *app, struct db *db, int64_t water_id,
                               struct pool_facts *out);

/*
 * The fit as of an instant, copied to *out. Between two changes of the store the facts
 * are read once and instants that follow each other cost only what lies between them.
 * Safe from any thread.
 */
enum db_status pool_fit(struct app *app, struct db *db, int64_t water_id, int64_t as_of,
                        bool by_recorded, struct coil_fit *out);

#endif
