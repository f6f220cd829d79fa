/*
 * Time, passed in everywhere. The only file that asks the kernel for the time.
 *
 * Wall time is UTC. Boot time (CLOCK_BOOTTIME) also runs while the machine sleeps; the
 * two together show a clock that was moved.
 */
#ifndef CLOCK_H
#define CLOCK_H

#include <stdbool.h>
#include <stdint.h>

struct clock {
    /* offset_path: NULL in ordinary use. A test names a file that holds whole seconds
     * to add to wall time; it is read at each call, so that a test can move the clock.
     */
    const char *offset_path;
};

int64_t clock_wall_s(const struct clock *clock);       /* UTC epoch seconds */
int64_t clock_boot_ms(const struct clock *clock);      /* CLOCK_BOOTTIME */
bool clock_is_synchronised(const struct clock *clock); /* adjtimex says so */

#endif
