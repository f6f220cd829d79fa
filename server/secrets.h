/*
 * Secrets: how they are made, what is kept of them, how one is told to be right.
 *
 * A PIN has 10^6 values, which a stolen database would give up within hours whatever
 * the hash. So a PIN or passphrase is keyed first (HMAC-SHA-256) with a pepper that
 * lies in a file of its own beside the database and in no copy of it; what is stored is
 * argon2id of that (RFC 9106; OWASP Password Storage Cheat Sheet). Session ids and
 * tokens are random enough to be stored as plain SHA-256.
 */
#ifndef SECRETS_H
#define SECRETS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define SECRET_HASH_SIZE 128 /* argon2id text with its end */
#define SECRET_PIN_SIZE 7    /* six digits */
#define SECRET_ID_SIZE 44    /* 256 bits in base64 for addresses */
#define SECRET_TOKEN_SIZE 40 /* "ck_", 30 letters and digits, 6 of checksum */
#define SECRET_CODE_SIZE 12  /* "ABCDE-FGHJK", 50 bits */
#define SECRET_SHA_BYTES 32
#define SECRET_PEPPER_BYTES 32
#define PASSPHRASE_MIN 15 /* letters; NIST SP 800-63B-4, section 3.1.1.2 */
#define PASSPHRASE_MAX 128

struct secret_keeper {
    uint8_t pepper[SECRET_PEPPER_BYTES];
    unsigned long long passes; /* of argon2id, set by secret_calibrate */
};

/* Reads the pepper from folder/pepper, or makes it (mode 0600). False when neither. */
bool secret_keeper_open(struct secret_keeper *out, const char *folder);
/* Raises the passes until one hash takes 100 ms here, 10 at most. */
void secret_calibrate(struct secret_keeper *keeper);

/* Each takes the time of one hash. False without memory. */
bool secret_hash(const struct secret_keeper *keeper, const char *secret,
                 char out[SECRET_HASH_SIZE]);
/* stored "" never matches, but takes as long. */
bool secret_matches(const struct secret_keeper *keeper, const char *stored,
                    const char *secret);

void secret_make_pin(char out[SECRET_PIN_SIZE]); /* every one of 10^6 as likely */
void secret_make_id(char out[SECRET_ID_SIZE]);
void secret_make_token(char out[SECRET_TOKEN_SIZE]);
void secret_make_code(char out[SECRET_CODE_SIZE]);
/* The form and the checksum alone: a mistyped one costs no look into the database. */
bool secret_is_token(const char *text);
void secret_sha(const char *text, uint8_t out[SECRET_SHA_BYTES]);
/* Letters are compared whatever their case, "-" and spaces do not count. */
bool secret_codes_match(const char *code, const char *typed);

/* NULL when it will do; else why not, as a sentence. name: the person's. */
const char *secret_passphrase_fault(const char *passphrase, const char *name);

#endif
