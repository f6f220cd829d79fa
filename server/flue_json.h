/* The flue tests of a heater with what they say, for its own page and the record. */
#ifndef FLUE_JSON_H
#define FLUE_JSON_H

#include <cjson/cJSON.h>

#include "flue_report.h"

#define FLUE_CASES_MAX COIL_TREND_MAX

struct flue_case {
    const struct db_flue_test *test;
    struct db_plate plate; /* of its time */
    struct flue_fuel fuel;
    struct coil_flue_result result; /* zero when not sampled */
    struct coil_flue_comparison comparison;
};

struct flue_cases {
    struct db_flue_test *tests;
    struct flue_case *list; /* oldest first */
    size_t count;
};

/* The newest FLUE_CASES_MAX tests of a time. Gives (flue_cases_finish releases). */
enum db_status flue_cases_read(struct db *db, int64_t heater_id, int64_t from,
                               int64_t until, struct flue_cases *out);
void flue_cases_finish(struct flue_cases *cases); /* a zeroed one is fine */

/* The earlier test that it is compared with: well sampled, same gas; NULL: none. */
const struct flue_case *flue_before(const struct flue_cases *cases, size_t index);

cJSON *flue_case_json(const struct flue_case *one, const struct flue_case *before);
cJSON *plate_json(const struct db_plate *plate);
cJSON *flue_drift_json(const struct flue_cases *cases);

#endif
