/*
 * Local times of a whole file to instants: zone.c's answers kept for each fortnight,
 * since rows ask the same question a million times, in any order.
 */
#ifndef IMPORT_ZONE_H
#define IMPORT_ZONE_H

#include "zone.h"

#define IMPORT_ZONE_WINDOWS 4096 /* of 16 days from 1970: until the year 2149 */

/* One stretch of local time. */
struct import_zone_window {
    int64_t jump_s; /* its one change; see the constants in import_zone.c */
    int32_t offset_before_s, offset_after_s;
};

/* Zeroed but for zone: nothing kept yet. */
struct import_zone {
    const struct zone *zone; /* borrowed */
    struct import_zone_window windows[IMPORT_ZONE_WINDOWS];
};

/*
 * As zone_instant without a fold, for local seconds (since 1970, as if UTC). Before
 * 1970 and past the last window local time counts as UTC: rows so far away are refused
 * in any zone.
 */
enum zone_status import_zone_instant(struct import_zone *kept, int64_t local_s,
                                     int64_t *out_first, int64_t *out_second);

#endif
