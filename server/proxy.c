#include "proxy.h"

#include <arpa/inet.h>
#include <string.h>
#include <strings.h>

/* Two spellings of one address are the same. */
static bool same_address(const char *left, const char *right)
{
    unsigned char one[16], two[16];

    if (inet_pton(AF_INET, left, one) == 1)
        return inet_pton(AF_INET, right, two) == 1 && memcmp(one, two, 4) == 0;
    return inet_pton(AF_INET6, left, one) == 1 &&
           inet_pton(AF_INET6, right, two) == 1 && memcmp(one, two, 16) == 0;
}

static bool is_trusted(const char (*proxies)[CONFIG_WORD_SIZE], const char *address)
{
    for (size_t i = 0; proxies != NULL && i < CONFIG_LIST_MAX; i++)
        if (proxies[i][0] != '\0' && same_address(proxies[i], address))
            return true;
    return false;
}

/* The last member of a list before end; false when it is no address. *out_end is where
 * the list before it ends. */
static bool take_last(const char *list, size_t end, char out[PROXY_PEER_SIZE],
                      size_t *out_end)
{
    unsigned char bytes[16];
    size_t start, length;

    while (end > 0 && (list[end - 1] == ' ' || list[end - 1] == '\t'))
        end--;
    for (start = end; start > 0 && list[start - 1] != ',';)
        start--;
    *out_end = start > 0 ? start - 1 : 0;
    while (start < end && (list[start] == ' ' || list[start] == '\t'))
        start++;
    length = end - start;
    if (length == 0 || length >= PROXY_PEER_SIZE)
        return false;
    memcpy(out, list + start, length);
    out[length] = '\0';
    return inet_pton(AF_INET, out, bytes) == 1 || inet_pton(AF_INET6, out, bytes) == 1;
}

bool proxy_read(const char (*proxies)[CONFIG_WORD_SIZE], const char *forwarded_for,
                const char *forwarded_proto, char peer[PROXY_PEER_SIZE])
{
    size_t end = forwarded_for == NULL ? 0 : strlen(forwarded_for);
    char address[PROXY_PEER_SIZE];

    if (!is_trusted(proxies, peer))
        return false;
    while (end > 0 && is_trusted(proxies, peer) &&
           take_last(forwarded_for, end, address, &end))
        memcpy(peer, address, sizeof address);
    return forwarded_proto != NULL && strcasecmp(forwarded_proto, "https") == 0;
}
