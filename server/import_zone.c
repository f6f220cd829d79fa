#include "import_zone.h"

#define WINDOW_S (16 * INT64_C(86400))
/* Further than any zone is from UTC: instants this far outside of a window cannot show
 * a local time inside. */
#define REACH_S (26 * INT64_C(3600))

/* Values of jump_s that are no instant. */
#define NOT_FILLED 0
#define NO_JUMP INT64_MAX
#define MANY_JUMPS INT64_MIN

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

static void fill(const struct zone *zone, int64_t index, struct import_zone_window *out)
{
    int64_t from_s = index * WINDOW_S - REACH_S;
    int64_t until_s = (index + 1) * WINDOW_S + REACH_S;
    int before_s = 0, after_s = 0;

    out->jump_s = NO_JUMP;
    if (!zone_steady(zone, from_s, until_s, &before_s)) {
        before_s = zone_offset_s(zone, from_s);
        out->jump_s = end_of_steady(zone, from_s, until_s) + 1;
        if (!zone_steady(zone, out->jump_s, until_s, &after_s) || out->jump_s == 0)
            out->jump_s = MANY_JUMPS;
    }
    out->offset_before_s = before_s;
    out->offset_after_s = after_s;
}

/* The long way, for the rare fortnight with two changes. */
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
    int64_t index = local_s / WINDOW_S;
    struct import_zone_window *window;
    int64_t before_s, after_s;
    bool has_before, has_after;

    if (local_s < 0 || index >= IMPORT_ZONE_WINDOWS) {
        *out_first = *out_second = local_s;
        return ZONE_OK;
    }
    window = &kept->windows[index];
    if (window->jump_s == NOT_FILLED)
        fill(kept->zone, index, window);
    if (window->jump_s == MANY_JUMPS)
        return ask_zone(kept->zone, local_s, out_first, out_second);
    before_s = local_s - window->offset_before_s;
    after_s = local_s - window->offset_after_s;
    has_before = before_s < window->jump_s;
    has_after = window->jump_s != NO_JUMP && after_s >= window->jump_s;
    if (!has_before && !has_after)
        return ZONE_SKIPPED;
    *out_first = has_before ? before_s : after_s;
    *out_second = has_after ? after_s : before_s;
    return *out_first == *out_second ? ZONE_OK : ZONE_TWICE;
}
