/*
 * Slows down guessing: 5 wrong secrets in a row are free, then each costs a wait of 30
 * s that doubles up to an hour; after 50 the account is shut until somebody mends it
 * (NIST SP 800-63B-4, section 3.2.2, allows 100). Waits run on boot time, so that a
 * moved clock shortens none; after a start they begin anew. One guess at a time for an
 * account, so that parallel ones gain nothing.
 *
 * Pure state: the caller passes the time and keeps a lock around it.
 */
#ifndef THROTTLE_H
#define THROTTLE_H

#include <stdbool.h>
#include <stdint.h>

#define THROTTLE_ENTRIES 256
#define THROTTLE_KEY_BYTES 32
#define THROTTLE_SHUT_AT 50

struct throttle_entry {
    uint8_t key[THROTTLE_KEY_BYTES];
    int64_t last_ms; /* of the last failure */
    int64_t failures;
    bool is_used, is_busy;
};

struct throttle {
    struct throttle_entry entries[THROTTLE_ENTRIES];
    /* Whoever has no entry is treated as if the last failure had been then: the start,
     * or later, when an entry had to go. */
    int64_t since_ms;
};

enum throttle_verdict {
    THROTTLE_LET, /* try, then call throttle_end */
    THROTTLE_WAIT,
    THROTTLE_BUSY, /* another guess is being looked at */
    THROTTLE_SHUT
};

void throttle_start(struct throttle *throttle, int64_t now_ms);

/* stored: failures in a row that the database knows of; 0 for a name nobody has.
 * out_wait_s is set for THROTTLE_WAIT and THROTTLE_BUSY. */
enum throttle_verdict throttle_begin(struct throttle *throttle,
                                     const uint8_t key[THROTTLE_KEY_BYTES],
                                     int64_t stored, int64_t now_ms, int *out_wait_s);
/* Gives the failures in a row after this one: 0 after a right one. */
int64_t throttle_end(struct throttle *throttle, const uint8_t key[THROTTLE_KEY_BYTES],
                     bool was_right, int64_t now_ms);

#endif
