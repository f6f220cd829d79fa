/*
 * Files sealed with a passphrase: XChaCha20-Poly1305 in pieces of 64 KiB (libsodium's
 * secretstream), the key made from the passphrase by argon2id. A changed, cut or
 * reordered file does not open.
 *
 * "CKSEAL1\n", 16 bytes of salt, 24 of header, then pieces, the last one marked as
 * last.
 */
#ifndef SEAL_H
#define SEAL_H

#include <stdbool.h>

enum seal_status {
    SEAL_OK,
    SEAL_WRONG,   /* another passphrase, or a changed file */
    SEAL_FOREIGN, /* no sealed file */
    SEAL_FAILED   /* cannot be read or written; errno says why */
};

/* Both make the file at out (mode 0600), which must not be there, and leave none behind
 * after a failure. */
enum seal_status seal_file(const char *in, const char *out, const char *passphrase);
enum seal_status seal_open(const char *in, const char *out, const char *passphrase);
bool seal_is_sealed(const char *path);

#endif
