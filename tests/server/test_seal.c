/* Sealed copies: what was sealed opens again, and nothing else does. */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sodium.h>

#include "server/seal.h"
#include "tests/support/suite.h"

static char folder[] = "/tmp/coilkeep-seal-XXXXXX";
static char plain[64], sealed[64], opened[64];

static void start(void)
{
    strcpy(folder, "/tmp/coilkeep-seal-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(plain, sizeof plain, "%s/plain", folder);
    snprintf(sealed, sizeof sealed, "%s/sealed", folder);
    snprintf(opened, sizeof opened, "%s/opened", folder);
}

static void finish(void)
{
    unlink(plain);
    unlink(sealed);
    unlink(opened);
    rmdir(folder);
}

static size_t read_file(const char *path, uint8_t *out, size_t size)
{
    FILE *file = fopen(path, "r");
    size_t length;

    ck_assert_ptr_nonnull(file);
    length = fread(out, 1, size, file);
    fclose(file);
    return length;
}

static void write_file(const char *path, const uint8_t *bytes, size_t length)
{
    FILE *file = fopen(path, "w");

    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(bytes, 1, length, file), length);
    ck_assert_int_eq(fclose(file), 0);
}

/* Around the size of a piece, where an end is easily missed. */
static const size_t lengths[] = {0, 1, 65535, 65536, 65537, 131072, 200000};

START_TEST(what_was_sealed_opens_again)
{
    static uint8_t bytes[200000], back[200001];
    struct stat info;

    randombytes_buf(bytes, sizeof bytes);
    write_file(plain, bytes, lengths[_i]);
    ck_assert_int_eq(seal_file(plain, sealed, "a passphrase of copies"), SEAL_OK);
    ck_assert(seal_is_sealed(sealed));
    ck_assert(!seal_is_sealed(plain));
    ck_assert_int_eq(stat(sealed, &info), 0);
    ck_assert_int_eq(info.st_mode & 0777, 0600);
    ck_assert_int_eq(seal_open(sealed, opened, "a passphrase of copies"), SEAL_OK);
    ck_assert_uint_eq(read_file(opened, back, sizeof back), lengths[_i]);
    ck_assert_int_eq(memcmp(back, bytes, lengths[_i]), 0);
}
END_TEST

START_TEST(another_passphrase_opens_nothing_and_leaves_nothing)
{
    write_file(plain, (const uint8_t *)"pool", 4);
    ck_assert_int_eq(seal_file(plain, sealed, "right"), SEAL_OK);
    ck_assert_int_eq(seal_open(sealed, opened, "wrong"), SEAL_WRONG);
    ck_assert_int_ne(access(opened, F_OK), 0);
    ck_assert_int_eq(seal_open(plain, opened, "right"), SEAL_FOREIGN);
    ck_assert_int_eq(seal_open(sealed, plain, "right"), SEAL_FAILED); /* is there */
}
END_TEST

/* Every byte counts, and so does each piece: a file cut at a piece's end does not open.
 */
START_TEST(a_changed_or_cut_file_does_not_open)
{
    static uint8_t bytes[140000], kept[200000], changed[200000];
    size_t length;
    static const size_t spots[] = {8, 30, 50, 60000, 70000, 139000};

    memset(bytes, 7, sizeof bytes);
    write_file(plain, bytes, sizeof bytes);
    ck_assert_int_eq(seal_file(plain, sealed, "right"), SEAL_OK);
    length = read_file(sealed, kept, sizeof kept);
    for (size_t i = 0; i < sizeof spots / sizeof spots[0]; i++) {
        memcpy(changed, kept, length);
        changed[spots[i]] ^= 1;
        write_file(sealed, changed, length);
        ck_assert_int_eq(seal_open(sealed, opened, "right"), SEAL_WRONG);
    }
    write_file(sealed, kept, 8 + 16 + 24 + 65536 + 17); /* one whole piece */
    ck_assert_int_eq(seal_open(sealed, opened, "right"), SEAL_WRONG);
    write_file(sealed, kept, length - 1);
    ck_assert_int_eq(seal_open(sealed, opened, "right"), SEAL_WRONG);
    kept[length] = 0;
    write_file(sealed, kept, length + 1);
    ck_assert_int_eq(seal_open(sealed, opened, "right"), SEAL_WRONG);
    ck_assert_int_ne(access(opened, F_OK), 0);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("seal");

    if (sodium_init() < 0)
        return 1;
    tcase_add_checked_fixture(tcase, start, finish);
    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, what_was_sealed_opens_again, 0,
                        (int)(sizeof lengths / sizeof lengths[0]));
    tcase_add_test(tcase, another_passphrase_opens_nothing_and_leaves_nothing);
    tcase_add_test(tcase, a_changed_or_cut_file_does_not_open);
    return suite_run("seal", tcase);
}
