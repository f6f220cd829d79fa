/* PINs, tokens, codes, passphrases and what is kept of them. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sodium.h>

#include "server/secrets.h"
#include "tests/support/suite.h"

/* 1000 cells of 1000 PINs each, 10^5 drawn. The quantile of chi-square with 999 degrees
 * of freedom that is passed once in 10^6 runs is 1226.1 by the approximation of Wilson
 * and Hilferty (1931): 999 * (1 - 2 / (9 * 999) + 4.753 * sqrt(2 / (9 * 999)))^3. */
START_TEST(pins_are_uniform)
{
    static int cells[1000];
    char pin[SECRET_PIN_SIZE];
    double sum = 0.0;

    memset(cells, 0, sizeof cells);
    for (int i = 0; i < 100000; i++) {
        secret_make_pin(pin);
        ck_assert_uint_eq(strlen(pin), 6);
        ck_assert_uint_eq(strspn(pin, "0123456789"), 6);
        cells[atoi(pin) / 1000]++;
    }
    for (int i = 0; i < 1000; i++)
        sum += (cells[i] - 100.0) * (cells[i] - 100.0) / 100.0;
    ck_assert_double_lt(sum, 1226.1);
}
END_TEST

START_TEST(a_mistyped_token_is_told_by_its_checksum)
{
    char token[SECRET_TOKEN_SIZE], wrong[SECRET_TOKEN_SIZE];

    for (int i = 0; i < 100; i++) {
        secret_make_token(token);
        ck_assert_uint_eq(strlen(token), 39);
        ck_assert(strncmp(token, "ck_", 3) == 0);
        ck_assert(secret_is_token(token));
        for (size_t at = 0; at < strlen(token); at++) {
            memcpy(wrong, token, sizeof wrong);
            wrong[at] = wrong[at] == 'A' ? 'B' : 'A';
            ck_assert_msg(!secret_is_token(wrong), "%s", wrong);
        }
    }
    ck_assert(!secret_is_token(""));
    ck_assert(!secret_is_token("ck_"));
}
END_TEST

START_TEST(codes_are_read_as_people_type_them)
{
    char code[SECRET_CODE_SIZE];

    secret_make_code(code);
    ck_assert_uint_eq(strlen(code), 11);
    ck_assert_int_eq(code[5], '-');
    ck_assert(secret_codes_match("ABCDE-FGHJK", "abcde fghjk"));
    ck_assert(secret_codes_match("ABCDE-FGHJK", "ABCDEFGHJK"));
    ck_assert(!secret_codes_match("ABCDE-FGHJK", "ABCDE-FGHJ"));
    ck_assert(!secret_codes_match("ABCDE-FGHJK", ""));
    ck_assert_msg(!secret_codes_match("", ""), "no code, nobody gets in");
}
END_TEST

static void make_keeper(struct secret_keeper *out, uint8_t fill)
{
    memset(out->pepper, fill, sizeof out->pepper);
    out->passes = 2;
}

/* argon2id with 64 MiB and 2 passes, as the head of the text says (RFC 9106). */
START_TEST(a_pin_fits_only_with_its_pepper)
{
    struct secret_keeper keeper, stolen;
    char stored[SECRET_HASH_SIZE];

    make_keeper(&keeper, 1);
    make_keeper(&stolen, 2);
    ck_assert(secret_hash(&keeper, "482913", stored));
    ck_assert_msg(strncmp(stored, "$argon2id$v=19$m=65536,t=2,p=1$", 31) == 0, "%s",
                  stored);
    ck_assert(secret_matches(&keeper, stored, "482913"));
    ck_assert(!secret_matches(&keeper, stored, "482914"));
    ck_assert(!secret_matches(&stolen, stored, "482913"));
    ck_assert(!secret_matches(&keeper, "", "482913"));
    /* without the key, the library itself would say yes to the PIN; it must not */
    ck_assert_int_ne(crypto_pwhash_str_verify(stored, "482913", 6), 0);
}
END_TEST

START_TEST(the_pepper_is_made_once_and_closed_to_others)
{
    char folder[] = "/tmp/coilkeep-secrets-XXXXXX", path[64];
    struct secret_keeper first, second;
    struct stat info;

    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/pepper", folder);
    ck_assert(secret_keeper_open(&first, folder));
    ck_assert(secret_keeper_open(&second, folder));
    ck_assert_mem_eq(first.pepper, second.pepper, SECRET_PEPPER_BYTES);
    ck_assert_int_eq(stat(path, &info), 0);
    ck_assert_int_eq(info.st_mode & 0777, 0600);
    ck_assert_int_eq(truncate(path, 31), 0);
    ck_assert_msg(!secret_keeper_open(&second, folder), "a cut pepper is no pepper");
    unlink(path);
    rmdir(folder);
}
END_TEST

static const struct {
    const char *passphrase;
    bool good;
} passphrases[] = {
    {"five blue herons stand still", true},
    {"äöü äöü äöü xyz", true}, /* 15 letters, more bytes */
    {"fourteen chars", false},
    {"aaaaaaaaaaaaaaaaaaaa", false},
    {"abcdefghijklmnop", false},
    {"1234567890123456", false},
    {"correct horse battery staple", false},
    {"Ada Ada Ada Ada Ada", false},
    {"", false},
};

START_TEST(passphrases_need_length_and_some_thought)
{
    char longest[PASSPHRASE_MAX + 2];
    const char *fault = secret_passphrase_fault(passphrases[_i].passphrase, "Ada");

    ck_assert_msg((fault == NULL) == passphrases[_i].good, "%s: %s",
                  passphrases[_i].passphrase, fault == NULL ? "taken" : fault);
    for (size_t i = 0; i <= PASSPHRASE_MAX; i++)
        longest[i] = "five herons"[i % 11];
    longest[PASSPHRASE_MAX + 1] = '\0';
    ck_assert_ptr_nonnull(secret_passphrase_fault(longest, "Ada"));
    longest[PASSPHRASE_MAX] = '\0';
    ck_assert_ptr_null(secret_passphrase_fault(longest, "Ada"));
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("secrets");

    if (sodium_init() < 0)
        return 1;
    tcase_add_test(tcase, pins_are_uniform);
    tcase_add_test(tcase, a_mistyped_token_is_told_by_its_checksum);
    tcase_add_test(tcase, codes_are_read_as_people_type_them);
    tcase_add_test(tcase, a_pin_fits_only_with_its_pepper);
    tcase_add_test(tcase, the_pepper_is_made_once_and_closed_to_others);
    tcase_add_loop_test(tcase, passphrases_need_length_and_some_thought, 0,
                        (int)(sizeof passphrases / sizeof passphrases[0]));
    return suite_run("secrets", tcase);
}
