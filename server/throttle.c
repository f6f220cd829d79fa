#include "throttle.h"

#include <string.h>

#define FREE_FAILURES 5
#define WAIT_FIRST_S 30
#define WAIT_MOST_S 3600

void throttle_start(struct throttle *throttle, int64_t now_ms)
{
    memset(throttle, 0, sizeof *throttle);
    throttle->since_ms = now_ms;
}

static int64_t wait_ms(int64_t failures)
{
    int64_t wait_s = WAIT_FIRST_S;

    if (failures < FREE_FAILURES)
        return 0;
    for (int64_t i = FREE_FAILURES; i < failures && wait_s < WAIT_MOST_S; i++)
        wait_s *= 2;
    return (wait_s < WAIT_MOST_S ? wait_s : WAIT_MOST_S) * 1000;
}

static struct throttle_entry *find(struct throttle *throttle, const uint8_t *key)
{
    for (int i = 0; i < THROTTLE_ENTRIES; i++) {
        struct throttle_entry *entry = &throttle->entries[i];

        if (entry->is_used && memcmp(entry->key, key, THROTTLE_KEY_BYTES) == 0)
            return entry;
    }
    return NULL;
}

/* A free place, else that of the oldest failure. NULL while all are being looked at. */
static struct throttle_entry *make_room(struct throttle *throttle)
{
    struct throttle_entry *oldest = NULL;

    for (int i = 0; i < THROTTLE_ENTRIES; i++) {
        struct throttle_entry *entry = &throttle->entries[i];

        if (!entry->is_used)
            return entry;
        if (!entry->is_busy && (oldest == NULL || entry->last_ms < oldest->last_ms))
            oldest = entry;
    }
    if (oldest != NULL && oldest->last_ms > throttle->since_ms)
        throttle->since_ms = oldest->last_ms;
    return oldest;
}

static int seconds_up(int64_t ms)
{
    return (int)((ms + 999) / 1000);
}

enum throttle_verdict throttle_begin(struct throttle *throttle,
                                     const uint8_t key[THROTTLE_KEY_BYTES],
                                     int64_t stored, int64_t now_ms, int *out_wait_s)
{
    struct throttle_entry *entry = find(throttle, key);
    int64_t ready_ms;

    if (entry == NULL) {
        entry = make_room(throttle);
        if (entry == NULL) {
            *out_wait_s = 1;
            return THROTTLE_BUSY;
        }
        memset(entry, 0, sizeof *entry);
        memcpy(entry->key, key, THROTTLE_KEY_BYTES);
        entry->last_ms = throttle->since_ms;
        entry->is_used = true;
    }
    if (stored > entry->failures)
        entry->failures = stored;
    if (entry->failures >= THROTTLE_SHUT_AT)
        return THROTTLE_SHUT;
    ready_ms = entry->last_ms + wait_ms(entry->failures);
    if (entry->failures >= FREE_FAILURES && now_ms < ready_ms) {
        *out_wait_s = seconds_up(ready_ms - now_ms);
        return THROTTLE_WAIT;
    }
    if (entry->is_busy) {
        *out_wait_s = 1;
        return THROTTLE_BUSY;
    }
    entry->is_busy = true;
    return THROTTLE_LET;
}

int64_t throttle_end(struct throttle *throttle, const uint8_t key[THROTTLE_KEY_BYTES],
                     bool was_right, int64_t now_ms)
{
    struct throttle_entry *entry = find(throttle, key);

    if (entry == NULL)
        return 0;
    entry->is_busy = false;
    entry->last_ms = now_ms;
    entry->failures = was_right ? 0 : entry->failures + 1;
    if (was_right)
        entry->is_used = false;
    return was_right ? 0 : entry->failures;
}
