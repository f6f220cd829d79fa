/*
 * Local times of a whole file to instants: zone.c's answers kept for the weeks around,
 * since neighbouring rows ask nearly the same question.
 */
#ifndef IMPORT_ZONE_H
#define IMPORT_ZONE_H

#include "zone.h"

/* Zeroed but for zone: nothing kept yet. */
struct import_zone {
    const struct zone *zone; /* borrowed */
    /* Local seconds (since 1970, as if UTC) for which the rest holds; from > until when
     * nothing is kept. */
    int64_t from_s, until_s;
    int64_t jump_s; /* the one change in that stretch; INT64_MAX for none */
    int offset_before_s, offset_after_s;
    bool is_filled;
};

/* As zone_instant without a fold, for local seconds. */
enum zone_status import_zone_instant(struct import_zone *kept, int64_t local_s,
                                     int64_t *out_first, int64_t *out_second);

#endif
