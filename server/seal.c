#include "seal.h"

#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <sodium.h>

#define MAGIC "CKSEAL1\n"
#define MAGIC_BYTES 8
#define PIECE_BYTES 65536
#define HEADER_BYTES crypto_secretstream_xchacha20poly1305_HEADERBYTES
#define KEY_BYTES crypto_secretstream_xchacha20poly1305_KEYBYTES
#define MORE_BYTES crypto_secretstream_xchacha20poly1305_ABYTES
#define TAG_LAST crypto_secretstream_xchacha20poly1305_TAG_FINAL

static bool make_key(const char *passphrase,
                     const uint8_t salt[crypto_pwhash_SALTBYTES],
                     uint8_t out[KEY_BYTES])
{
    return crypto_pwhash(out, KEY_BYTES, passphrase, strlen(passphrase), salt,
                         crypto_pwhash_OPSLIMIT_INTERACTIVE,
                         crypto_pwhash_MEMLIMIT_INTERACTIVE,
                         crypto_pwhash_ALG_ARGON2ID13) == 0;
}

/* Fills the buffer unless the file ends before. */
static ssize_t read_piece(FILE *file, uint8_t *out, size_t size)
{
    size_t length = fread(out, 1, size, file);

    return ferror(file) ? -1 : (ssize_t)length;
}

static enum seal_status seal_pieces(FILE *in, FILE *out,
                                    crypto_secretstream_xchacha20poly1305_state *state)
{
    uint8_t plain[PIECE_BYTES], sealed[PIECE_BYTES + MORE_BYTES];
    ssize_t length;
    bool is_last;

    do {
        length = read_piece(in, plain, sizeof plain);
        if (length < 0)
            return SEAL_FAILED;
        is_last = (size_t)length < sizeof plain;
        crypto_secretstream_xchacha20poly1305_push(state, sealed, NULL, plain,
                                                   (unsigned long long)length, NULL, 0,
                                                   is_last ? TAG_LAST : 0);
        if (fwrite(sealed, 1, (size_t)length + MORE_BYTES, out) !=
            (size_t)length + MORE_BYTES)
            return SEAL_FAILED;
    } while (!is_last);
    return SEAL_OK;
}

static enum seal_status seal_stream(FILE *in, FILE *out, const char *passphrase)
{
    crypto_secretstream_xchacha20poly1305_state state;
    uint8_t salt[crypto_pwhash_SALTBYTES], key[KEY_BYTES], header[HEADER_BYTES];

    randombytes_buf(salt, sizeof salt);
    if (!make_key(passphrase, salt, key))
        return SEAL_FAILED;
    crypto_secretstream_xchacha20poly1305_init_push(&state, header, key);
    sodium_memzero(key, sizeof key);
    if (fwrite(MAGIC, 1, MAGIC_BYTES, out) != MAGIC_BYTES ||
        fwrite(salt, 1, sizeof salt, out) != sizeof salt ||
        fwrite(header, 1, sizeof header, out) != sizeof header)
        return SEAL_FAILED;
    return seal_pieces(in, out, &state);
}

static enum seal_status open_pieces(FILE *in, FILE *out,
                                    crypto_secretstream_xchacha20poly1305_state *state)
{
    uint8_t plain[PIECE_BYTES], sealed[PIECE_BYTES + MORE_BYTES];
    unsigned long long plain_length = 0;
    unsigned char tag = 0;
    ssize_t length;

    while (tag != TAG_LAST) {
        length = read_piece(in, sealed, sizeof sealed);
        if (length < 0)
            return SEAL_FAILED;
        if ((size_t)length < MORE_BYTES ||
            crypto_secretstream_xchacha20poly1305_pull(
                state, plain, &plain_length, &tag, sealed, (unsigned long long)length,
                NULL, 0) != 0)
            return SEAL_WRONG;
        if (fwrite(plain, 1, (size_t)plain_length, out) != (size_t)plain_length)
            return SEAL_FAILED;
    }
    return fgetc(in) == EOF ? SEAL_OK : SEAL_WRONG; /* nothing may follow the last */
}

static enum seal_status open_stream(FILE *in, FILE *out, const char *passphrase)
{
    crypto_secretstream_xchacha20poly1305_state state;
    uint8_t magic[MAGIC_BYTES], salt[crypto_pwhash_SALTBYTES];
    uint8_t key[KEY_BYTES], header[HEADER_BYTES];
    bool is_header_good;

    if (fread(magic, 1, sizeof magic, in) != sizeof magic ||
        memcmp(magic, MAGIC, sizeof magic) != 0)
        return SEAL_FOREIGN;
    if (fread(salt, 1, sizeof salt, in) != sizeof salt ||
        fread(header, 1, sizeof header, in) != sizeof header)
        return SEAL_WRONG;
    if (!make_key(passphrase, salt, key))
        return SEAL_FAILED;
    is_header_good =
        crypto_secretstream_xchacha20poly1305_init_pull(&state, header, key) == 0;
    sodium_memzero(key, sizeof key);
    return is_header_good ? open_pieces(in, out, &state) : SEAL_WRONG;
}

typedef enum seal_status (*seal_work)(FILE *in, FILE *out, const char *passphrase);

static FILE *make_file(const char *path)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
    FILE *file = fd < 0 ? NULL : fdopen(fd, "w");

    if (fd >= 0 && file == NULL)
        close(fd);
    return file;
}

static enum seal_status from_file_to_file(const char *in_path, const char *out_path,
                                          const char *passphrase, seal_work work)
{
    FILE *in = fopen(in_path, "re");
    FILE *out = in == NULL ? NULL : make_file(out_path);
    enum seal_status status = SEAL_FAILED;
    bool is_made = out != NULL;

    if (is_made) {
        status = work(in, out, passphrase);
        if (status == SEAL_OK && (fflush(out) != 0 || fsync(fileno(out)) != 0))
            status = SEAL_FAILED;
        if (fclose(out) != 0 && status == SEAL_OK)
            status = SEAL_FAILED;
    }
    if (in != NULL)
        fclose(in);
    if (is_made && status != SEAL_OK)
        unlink(out_path);
    return status;
}

enum seal_status seal_file(const char *in, const char *out, const char *passphrase)
{
    return from_file_to_file(in, out, passphrase, seal_stream);
}

enum seal_status seal_open(const char *in, const char *out, const char *passphrase)
{
    return from_file_to_file(in, out, passphrase, open_stream);
}

bool seal_is_sealed(const char *path)
{
    char magic[MAGIC_BYTES] = "";
    FILE *file = fopen(path, "re");
    bool is_sealed = file != NULL &&
                     fread(magic, 1, sizeof magic, file) == sizeof magic &&
                     memcmp(magic, MAGIC, sizeof magic) == 0;

    if (file != NULL)
        fclose(file);
    return is_sealed;
}
