/*
 * What the service manager wants to hear: one datagram to the socket that it names in
 * NOTIFY_SOCKET (sd_notify(3)). Without one, nothing is said.
 */
#ifndef NOTIFY_H
#define NOTIFY_H

#include <stdbool.h>
#include <stdint.h>

/* state: "READY=1", "STOPPING=1" or "WATCHDOG=1". False when nobody heard it. */
bool notify_send(const char *state);

/* How often WATCHDOG=1 is to be said: half of what the manager waits (the advice of
 * sd_watchdog_enabled(3)); 0 when it does not wait for us. */
int64_t notify_watchdog_ms(void);

#endif
