/*
 * Things of the shed as others see them: how strong one is by now, how it is measured.
 */
#ifndef SHED_H
#define SHED_H

#include <cjson/cJSON.h>

#include "db.h"
#include "lib/strength.h"

struct shed_age {
    double days; /* since it was bought */
    double temp_c;
    bool is_temp_assumed;
    double strength_percent; /* now */
};

/* False where a product keeps its strength, or nobody said when it was bought. */
bool shed_age(const struct db_shed_item *item, int64_t now_s, struct shed_age *out);

/* {"kind":"scoop","size":85}, or null. Gives a tree. */
cJSON *shed_measure_json(const struct db_shed_item *item);

#endif
