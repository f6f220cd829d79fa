#include "http_counts.h"

const int64_t http_count_bounds_us[HTTP_COUNT_BOUNDS] = {1000,   5000,   25000,
                                                         100000, 500000, 2500000};

void http_count(struct http_counts *counts, int status, int64_t took_us)
{
    int class = status / 100;

    if (class > 0 && class < HTTP_COUNT_CLASSES)
        atomic_fetch_add(&counts->answers[class], 1);
    for (int i = 0; i < HTTP_COUNT_BOUNDS; i++)
        if (took_us <= http_count_bounds_us[i])
            atomic_fetch_add(&counts->within[i], 1);
    atomic_fetch_add(&counts->timed, 1);
    atomic_fetch_add(&counts->timed_us, took_us > 0 ? (uint64_t)took_us : 0);
}
