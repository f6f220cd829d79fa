/*
 * The parts of a heater's record: each a tree of what stands in the store about one
 * time. api_record.c puts them together.
 */
#ifndef RECORD_JSON_H
#define RECORD_JSON_H

#include <cjson/cJSON.h>

#include "db.h"
#include "heater_exposure.h"
#include "zone.h"

struct record_wish {
    struct db *db;
    struct db_heater heater; /* as it is now */
    int64_t water_id, from, until;
    const struct zone *zone;
};

/* Each gives an array, or NULL with the store's status. */
cJSON *record_limits(const struct record_wish *wish, enum db_status *out_status);
cJSON *record_band(const struct record_wish *wish, enum db_status *out_status);
cJSON *record_super(const struct record_wish *wish, enum db_status *out_status);
cJSON *record_people(const struct record_wish *wish, enum db_status *out_status);

/* What GET /api/v1/exposure answers (api_exposure.c). */
cJSON *exposure_json(struct db *db, const struct heater_exposure_wish *wish,
                     enum db_status *out_status);

/* The same tree as lines "section,entry,member,value" with CRLF; texts that a spreadsheet
 * would run get a ' in front. Gives text, NULL without memory. */
char *record_csv(const cJSON *record);

#endif
