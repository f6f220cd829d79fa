#include "secrets.h"

#include <ctype.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <time.h>
#include <unistd.h>

#include <sodium.h>

#include "utf8.h"

/* 64 MiB and at least 2 passes (OWASP asks for 19 MiB and 2 at least). */
#define HASH_BYTES ((size_t)64 * 1024 * 1024)
#define PASSES_MIN 2
#define PASSES_MAX 10
#define HASH_MS_MIN 100

static const char base62[] =
    "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz";
/* Without I, L, O, U, 0 and 1, which are misread. */
static const char code_letters[] = "ABCDEFGHJKMNPQRSTVWXYZ23456789";

#define TOKEN_PREFIX "ck_"
#define TOKEN_RANDOM 30
#define TOKEN_CHECK 6

/* ---- pepper ---- */

static bool read_whole(int fd, uint8_t *out, size_t size)
{
    uint8_t more;

    return read(fd, out, size) == (ssize_t)size && read(fd, &more, 1) == 0;
}

/* Written whole under another name first, so that no half of one is ever taken. */
static bool make_pepper(const char *path, uint8_t *out)
{
    char temporary[700];
    bool good;
    int fd;

    snprintf(temporary, sizeof temporary, "%s.new", path);
    fd = open(temporary, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (fd < 0)
        return false;
    randombytes_buf(out, SECRET_PEPPER_BYTES);
    good = write(fd, out, SECRET_PEPPER_BYTES) == SECRET_PEPPER_BYTES && fsync(fd) == 0;
    return close(fd) == 0 && good && rename(temporary, path) == 0;
}

bool secret_keeper_open(struct secret_keeper *out, const char *folder)
{
    char path[640];
    bool good;
    int fd;

    out->passes = PASSES_MIN;
    snprintf(path, sizeof path, "%s/pepper", folder);
    fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0)
        return errno == ENOENT && make_pepper(path, out->pepper);
    good = read_whole(fd, out->pepper, SECRET_PEPPER_BYTES);
    close(fd);
    return good;
}

/* ---- argon2id ---- */

static void key_secret(const struct secret_keeper *keeper, const char *secret,
                       char out_hex[crypto_auth_hmacsha256_BYTES * 2 + 1])
{
    uint8_t keyed[crypto_auth_hmacsha256_BYTES];

    crypto_auth_hmacsha256(keyed, (const unsigned char *)secret, strlen(secret),
                           keeper->pepper);
    sodium_bin2hex(out_hex, sizeof keyed * 2 + 1, keyed, sizeof keyed);
    sodium_memzero(keyed, sizeof keyed);
}

bool secret_hash(const struct secret_keeper *keeper, const char *secret,
                 char out[SECRET_HASH_SIZE])
{
    char keyed[crypto_auth_hmacsha256_BYTES * 2 + 1];
    char text[crypto_pwhash_STRBYTES];
    int result;

    key_secret(keeper, secret, keyed);
    result = crypto_pwhash_str_alg(text, keyed, strlen(keyed), keeper->passes,
                                   HASH_BYTES, crypto_pwhash_ALG_ARGON2ID13);
    if (result == 0)
        snprintf(out, SECRET_HASH_SIZE, "%s", text);
    sodium_memzero(keyed, sizeof keyed);
    return result == 0;
}

bool secret_matches(const struct secret_keeper *keeper, const char *stored,
                    const char *secret)
{
    char keyed[crypto_auth_hmacsha256_BYTES * 2 + 1];
    char spare[SECRET_HASH_SIZE];
    bool matches;

    if (stored[0] == '\0') {
        secret_hash(keeper, secret, spare); /* so that nobody can tell by the time */
        return false;
    }
    key_secret(keeper, secret, keyed);
    matches = crypto_pwhash_str_verify(stored, keyed, strlen(keyed)) == 0;
    sodium_memzero(keyed, sizeof keyed);
    return matches;
}

static int64_t now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

void secret_calibrate(struct secret_keeper *keeper)
{
    char text[SECRET_HASH_SIZE];
    int64_t began_ms = now_ms();
    int64_t took_ms;

    keeper->passes = PASSES_MIN;
    if (!secret_hash(keeper, "a hash to see how long one takes", text))
        return;
    took_ms = now_ms() - began_ms;
    while (keeper->passes < PASSES_MAX &&
           took_ms * (int64_t)keeper->passes / PASSES_MIN < HASH_MS_MIN)
        keeper->passes++;
}

/* ---- making ---- */

void secret_make_pin(char out[SECRET_PIN_SIZE])
{
    snprintf(out, SECRET_PIN_SIZE, "%06u", randombytes_uniform(1000000) % 1000000U);
}

void secret_make_id(char out[SECRET_ID_SIZE])
{
    uint8_t bytes[SECRET_SHA_BYTES];

    randombytes_buf(bytes, sizeof bytes);
    sodium_bin2base64(out, SECRET_ID_SIZE, bytes, sizeof bytes,
                      sodium_base64_VARIANT_URLSAFE_NO_PADDING);
}

static void write_check(const char *random, char out[TOKEN_CHECK + 1])
{
    uint8_t hash[SECRET_SHA_BYTES];
    uint64_t number = 0;

    crypto_hash_sha256(hash, (const unsigned char *)random, TOKEN_RANDOM);
    for (size_t i = 0; i < 8; i++)
        number = number << 8 | hash[i];
    for (size_t i = 0; i < TOKEN_CHECK; i++, number /= 62)
        out[i] = base62[number % 62];
    out[TOKEN_CHECK] = '\0';
}

void secret_make_token(char out[SECRET_TOKEN_SIZE])
{
    char random[TOKEN_RANDOM + 1] = "";
    char check[TOKEN_CHECK + 1];

    for (size_t i = 0; i < TOKEN_RANDOM; i++)
        random[i] = base62[randombytes_uniform(62)];
    write_check(random, check);
    snprintf(out, SECRET_TOKEN_SIZE, TOKEN_PREFIX "%s%s", random, check);
}

bool secret_is_token(const char *text)
{
    size_t prefix = strlen(TOKEN_PREFIX);
    char check[TOKEN_CHECK + 1];

    if (strlen(text) != SECRET_TOKEN_SIZE - 1 ||
        strncmp(text, TOKEN_PREFIX, prefix) != 0 ||
        strspn(text + prefix, base62) != TOKEN_RANDOM + TOKEN_CHECK)
        return false;
    write_check(text + prefix, check);
    return strcmp(text + prefix + TOKEN_RANDOM, check) == 0;
}

void secret_make_code(char out[SECRET_CODE_SIZE])
{
    for (size_t i = 0; i < SECRET_CODE_SIZE - 1; i++)
        out[i] =
            i == 5 ? '-' : code_letters[randombytes_uniform(sizeof code_letters - 1)];
    out[SECRET_CODE_SIZE - 1] = '\0';
}

void secret_sha(const char *text, uint8_t out[SECRET_SHA_BYTES])
{
    crypto_hash_sha256(out, (const unsigned char *)text, strlen(text));
}

static void plain_code(const char *text, uint8_t out[SECRET_SHA_BYTES])
{
    char plain[64];
    size_t length = 0;

    for (; *text != '\0' && length + 1 < sizeof plain; text++)
        if (*text != '-' && *text != ' ')
            plain[length++] = (char)toupper((unsigned char)*text);
    plain[length] = '\0';
    secret_sha(plain, out);
}

bool secret_codes_match(const char *code, const char *typed)
{
    uint8_t left[SECRET_SHA_BYTES], right[SECRET_SHA_BYTES];

    plain_code(code, left);
    plain_code(typed, right);
    return code[0] != '\0' && sodium_memcmp(left, right, sizeof left) == 0;
}

/* ---- passphrases ---- */

static size_t count_different(const char *text)
{
    bool seen[256] = {false};
    size_t count = 0;

    for (const unsigned char *at = (const unsigned char *)text; *at != '\0'; at++) {
        count += !seen[*at];
        seen[*at] = true;
    }
    return count;
}

/* "abcdefgh…", "12345678…": each letter follows the one before. */
static bool is_run(const char *text)
{
    for (size_t i = 1; text[i] != '\0'; i++)
        if (text[i] != text[i - 1] + 1 && !(text[i] == '0' && text[i - 1] == '9'))
            return false;
    return true;
}

const char *secret_passphrase_fault(const char *passphrase, const char *name)
{
    static const char *const guessed[] = {
        "correcthorsebatterystaple", "correct horse battery staple",
        "passwordpassword",          "qwertyuiopasdfghjkl",
        "passphrase passphrase",     "coilkeepcoilkeep",
        "swimmingpoolswimmingpool",  "thisismypassword"};
    size_t letters = utf8_length(passphrase);

    if (letters < PASSPHRASE_MIN)
        return "A passphrase needs at least 15 letters. Four or five words will do.";
    if (letters > PASSPHRASE_MAX)
        return "A passphrase has at most 128 letters.";
    for (size_t i = 0; i < sizeof guessed / sizeof guessed[0]; i++)
        if (strcasecmp(passphrase, guessed[i]) == 0)
            return "That passphrase is one of the first that anybody tries.";
    if (count_different(passphrase) < 5 || is_run(passphrase))
        return "That passphrase repeats itself; others would try it early.";
    if (name[0] != '\0' && strncasecmp(passphrase, name, strlen(name)) == 0 &&
        letters < PASSPHRASE_MIN + utf8_length(name))
        return "That passphrase is little more than the name.";
    return NULL;
}
