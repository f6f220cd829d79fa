#include "host.h"

#include <arpa/inet.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#define HTTP_PORT 80

void host_rules_init(struct host_rules *rules, uint16_t port)
{
    char name[256] = "";
    size_t length;

    memset(rules, 0, sizeof *rules);
    rules->port = port;
    if (gethostname(name, sizeof name - 1) != 0)
        return;
    length = strcspn(name, ".");
    if (length >= sizeof rules->machine)
        return; /* a DNS label has 63 bytes at most (RFC 1035) */
    for (size_t i = 0; i < length; i++)
        rules->machine[i] = (char)tolower((unsigned char)name[i]);
}

/* ":8425", or nothing for port 80. */
static bool port_is_ours(const struct host_rules *rules, const char *text)
{
    long port = 0;

    if (text[0] == '\0')
        return rules->port == HTTP_PORT;
    if (text[0] != ':' || text[1] < '1' || text[1] > '9' || strlen(text) > 6)
        return false;
    for (const char *digit = text + 1; *digit != '\0'; digit++) {
        if (*digit < '0' || *digit > '9')
            return false;
        port = port * 10 + (*digit - '0');
    }
    return port == rules->port;
}

static bool is_ip_address(const char *name)
{
    unsigned char address[16];
    size_t length = strlen(name);
    char inside[64];

    if (name[0] != '[')
        return inet_pton(AF_INET, name, address) == 1;
    if (length < 3 || length >= sizeof inside || name[length - 1] != ']')
        return false;
    memcpy(inside, name + 1, length - 2);
    inside[length - 2] = '\0';
    return inet_pton(AF_INET6, inside, address) == 1;
}

/* "box.local" or "box-2.local" where the machine is box. */
static bool is_machine_name(const struct host_rules *rules, const char *name)
{
    size_t length = strlen(rules->machine);
    const char *rest = name + length;

    if (length == 0 || strncasecmp(name, rules->machine, length) != 0)
        return false;
    if (*rest == '-') {
        size_t digits = strspn(rest + 1, "0123456789");

        if (digits == 0 || digits > 3)
            return false;
        rest += 1 + digits;
    }
    return strcasecmp(rest, ".local") == 0;
}

static bool is_listed(const struct host_rules *rules, const char *name)
{
    for (size_t i = 0; rules->names != NULL && i < CONFIG_LIST_MAX; i++)
        if (rules->names[i][0] != '\0' && strcasecmp(rules->names[i], name) == 0)
            return true;
    return false;
}

bool host_is_ours(const struct host_rules *rules, const char *host)
{
    char name[128];
    size_t length = strlen(host);
    const char *port;

    if (length == 0 || length >= sizeof name)
        return false;
    if (is_listed(rules, host))
        return true;
    /* the colons of an IPv6 address stand inside its brackets */
    port = host[0] == '[' ? strchr(host, ']') : strchr(host, ':');
    if (host[0] == '[' && port == NULL)
        return false;
    if (host[0] == '[')
        port++;
    if (port == NULL)
        port = host + length;
    memcpy(name, host, (size_t)(port - host));
    name[port - host] = '\0';
    if (!port_is_ours(rules, port))
        return false;
    return is_ip_address(name) || strcasecmp(name, "localhost") == 0 ||
           is_machine_name(rules, name) || is_listed(rules, name);
}
