/*
 * A reverse proxy between the browser and us. What it says about the browser (address,
 * TLS) is believed from the configured addresses only: anybody can send such headers.
 */
#ifndef PROXY_H
#define PROXY_H

#include <stdbool.h>

#include "config.h"

#define PROXY_PEER_SIZE 46 /* INET6_ADDRSTRLEN */

/* proxies: CONFIG_LIST_MAX addresses, "" for none, or NULL. The headers may be NULL.
 * From a trusted peer the last address that no trusted proxy has takes peer's place,
 * since each proxy adds the address that it saw at the end. True when the browser spoke
 * TLS. */
bool proxy_read(const char (*proxies)[CONFIG_WORD_SIZE], const char *forwarded_for,
                const char *forwarded_proto, char peer[PROXY_PEER_SIZE]);

#endif
