#include "clock.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/timex.h>
#include <time.h>

/* Seconds a test adds to wall time; a missing or odd file counts as 0. */
static int64_t read_offset_s(const char *path)
{
    char text[32];
    char *end = NULL;
    long long offset_s = 0;
    FILE *file = fopen(path, "re");

    if (file == NULL)
        return 0;
    if (fgets(text, sizeof text, file) != NULL) {
        offset_s = strtoll(text, &end, 10);
        if (end == text || (*end != '\0' && *end != '\n'))
            offset_s = 0;
    }
    fclose(file);
    return offset_s;
}

int64_t clock_wall_s(const struct clock *clock)
{
    struct timespec now;

    clock_gettime(CLOCK_REALTIME, &now);
    return now.tv_sec + (clock->offset_path ? read_offset_s(clock->offset_path) : 0);
}

int64_t clock_boot_ms(const struct clock *clock)
{
    struct timespec now;

    (void)clock;
    clock_gettime(CLOCK_BOOTTIME, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

bool clock_is_synchronised(const struct clock *clock)
{
    struct timex state = {0};

    (void)clock;
    /* modes 0 only reads, so no right is needed */
    return adjtimex(&state) != TIME_ERROR && (state.status & STA_UNSYNC) == 0;
}
