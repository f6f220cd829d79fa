/*
 * Which Host values are ours. A page of a foreign name that was made to point here (DNS
 * rebinding) is refused by this list and by nothing else; so it is asked first, for
 * every path. An IP address cannot be rebound, a name can.
 */
#ifndef HOST_H
#define HOST_H

#include <stdbool.h>
#include <stdint.h>

#include "config.h"

struct host_rules {
    uint16_t port;
    char machine[64]; /* first label of the machine's name, lower case; "" for none */
    const char (*names)[CONFIG_WORD_SIZE]; /* CONFIG_LIST_MAX of them; NULL for none */
};

/* Asks the kernel for the machine's name. */
void host_rules_init(struct host_rules *rules, uint16_t port);

/* An IP address, localhost, or NAME.local or NAME-2.local (a name server on the local
 * network counts up when two machines share a name), with our port; or a name of
 * the configuration, as it is written there or with our port. */
bool host_is_ours(const struct host_rules *rules, const char *host);

#endif
