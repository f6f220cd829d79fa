/*
 * A strict reader of HTTP/1.1 request heads, byte by byte, as they come from the wire.
 *
 * The HTTP library repairs what it should refuse (bare line feeds, two lengths, folded
 * lines …), and what it has repaired can no longer be seen. So every head passes here
 * first. Knows nothing of sockets and keeps no text but the last header's name.
 *
 * Refused: any line end but CR LF, control bytes, folded lines, space before the colon,
 * names that are no tokens, more than one or no Host, more than one or a malformed
 * Content-Length, every Transfer-Encoding (no client of ours needs one, and without it
 * a body has one length only), targets that are neither a path nor "*".
 * Sources: RFC 9112 sections 2.2, 3, 5, 6 and 11.2; RFC 9110 sections 5.5 and 5.6.2.
 */
#ifndef HEAD_H
#define HEAD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define HEAD_BYTES_MAX 16384
#define HEAD_TARGET_MAX 2048
#define HEAD_FIELDS_MAX 64

enum head_state {
    HEAD_METHOD,
    HEAD_TARGET,
    HEAD_VERSION,
    HEAD_LINE_FEED, /* after the CR of the request line or of a field */
    HEAD_FIELD_START,
    HEAD_NAME,
    HEAD_VALUE,
    HEAD_LAST_LINE_FEED,
    HEAD_DONE,
    HEAD_REFUSED
};

/* Zeroed is a fresh one. */
struct head {
    enum head_state state;
    size_t bytes;       /* of the head so far */
    size_t piece_bytes; /* of the method, target, version or value so far */
    unsigned fields;
    char name[20]; /* lower case; longer names are cut, which matches nothing */
    size_t name_length;
    bool in_length;   /* the value being read is a Content-Length */
    bool value_ended; /* white space came after its digits */
    unsigned host_count, length_count;
    bool has_transfer_encoding;
    char version[9];
    uint64_t content_length; /* of the body; 0 without one */
    /* Of a refusal: */
    int status;
    const char *code;
    const char *detail;
};

/* Reads on; stops after the head's last byte or at the refused one. Returns how many
 * bytes it took; then state says HEAD_DONE, HEAD_REFUSED, or that more is needed. */
size_t head_feed(struct head *head, const char *bytes, size_t length);

/* True when any byte of a head has come but not all. */
bool head_is_open(const struct head *head);

#endif
