/*
 * What the door counts of its answers, for whoever watches the daemon. Only goes up.
 */
#ifndef HTTP_COUNTS_H
#define HTTP_COUNTS_H

#include <stdatomic.h>
#include <stdint.h>

#define HTTP_COUNT_CLASSES 6 /* 1xx … 5xx by their first digit; 0 is not used */
#define HTTP_COUNT_BOUNDS 6

struct http_counts {
    atomic_uint_fast64_t answers[HTTP_COUNT_CLASSES];
    /* Of the time from the last byte of a request to its answer: how many took at most
     * the bound, and how long all took together. */
    atomic_uint_fast64_t within[HTTP_COUNT_BOUNDS];
    atomic_uint_fast64_t timed, timed_us;
};

/* 1, 5, 25, 100, 500 and 2500 ms. */
extern const int64_t http_count_bounds_us[HTTP_COUNT_BOUNDS];

void http_count(struct http_counts *counts, int status, int64_t took_us);

#endif
