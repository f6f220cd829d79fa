/* The pool's own water as the line's numbers take it: from the newest readings. */
#ifndef LINE_WATER_H
#define LINE_WATER_H

#include "db.h"
#include "lib/dose.h"

struct line_water {
    bool is_known; /* pH, chlorine and alkalinity were tested and can be together */
    int64_t at;    /* instant of the oldest of the three */
    double ph, free_chlorine_mg_per_l;
    double water_temp_c;              /* has_temp false: 25, which is assumed */
    bool has_temp, has_cyanuric_acid; /* ever tested */
    struct coil_constants constants;
    struct coil_closed_water
        pool; /* an ordinary pool's without chlorine unless known */
};

/* As of an instant; out is filled on DB_OK. Statuses of db_permit_facts. */
enum db_status line_water_read(struct db *db, int64_t heater_id, int64_t water_id,
                               int64_t as_of, struct line_water *out);

#endif
