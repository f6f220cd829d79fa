#include "import_zone.h"

#define DAY_S INT64_C(86400)
/* Further than any zone is from UTC. */
#define REACH_S (26 * INT64_C(3600))
#define SPAN_S (40 * DAY_S)

/* The last instant at which the offset in force at from_s still holds, in
 * [from_s, until_s); found by halving. */
static int64_t end_of_steady(const struct zone *zone, int64_t from_s, int64_t until_s)
{
    int64_t low_s = from_s;
    int64_t high_s = until_s;
    int unused;

    while (high_s - low_s > 1) {
        int64_t middle_s = low_s + (high_s - low_s) / 2;

        if (zone_steady(zone, from_s, middle_s, &unused))
            low_s = middle_s;
        else
            high_s = middle_s;
    }
    return low_s;
}

/* Keeps the weeks around a local time; false when they hold more than one change. */
static bool fill(struct import_zone *kept, int64_t local_s)
{
    int64_t from_s = local_s - SPAN_S;
    int64_t until_s = local_s + SPAN_S;

    kept->is_filled = false;
    kept->jump_s = INT64_MAX;
    if (!zone_steady(kept->zone, from_s, until_s, &kept->offset_before_s)) {
        kept->jump_s = end_of_steady(kept->zone, from_s, until_s) + 1;
        kept->offset_before_s = zone_offset_s(kept->zone, from_s);
        if (!zone_steady(kept->zone, kept->jump_s, until_s, &kept->offset_after_s))
            return false;
    }
    /* Local times this far inside cannot belong to an instant outside. */
    kept->from_s = from_s + REACH_S;
    kept->until_s = until_s - REACH_S;
    kept->is_filled = true;
    return true;
}

static enum zone_status ask_zone(const struct zone *zone, int64_t local_s,
                                 int64_t *out_first, int64_t *out_second)
{
    struct civil_time civil;
    struct zone *utc = NULL;
    enum zone_status status = zone_open("UTC", &utc);

    if (status != ZONE_OK)
        return status;
    zone_civil(utc, local_s, &civil);
    zone_close(utc);
    return zone_instant(zone, &civil, ZONE_FOLD_UNSAID, out_first, out_second);
}

enum zone_status import_zone_instant(struct import_zone *kept, int64_t local_s,
                                     int64_t *out_first, int64_t *out_second)
{
    int64_t before_s, after_s;
    bool has_before, has_after;

    if (!kept->is_filled || local_s < kept->from_s || local_s > kept->until_s)
        if (!fill(kept, local_s))
            return ask_zone(kept->zone, local_s, out_first, out_second);
    before_s = local_s - kept->offset_before_s;
    after_s = local_s - kept->offset_after_s;
    has_before = before_s < kept->jump_s;
    has_after = kept->jump_s != INT64_MAX && after_s >= kept->jump_s;
    if (!has_before && !has_after)
        return ZONE_SKIPPED;
    *out_first = has_before ? before_s : after_s;
    *out_second = has_after ? after_s : before_s;
    return *out_first == *out_second ? ZONE_OK : ZONE_TWICE;
}
