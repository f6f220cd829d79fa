/*
 * Every source key in lib/ has its entry in docs/sources.md.
 *
 * A key is a word in square brackets: lower-case letters, digits and hyphens, from a
 * letter, at least six, with a hyphen inside; a comma and more may follow. Its entry is
 * a line `## [key]`.
 */
#include <check.h>
#include <ctype.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define KEY_MAX 64

/* Length of the key that starts at text, 0 when none does ("[" is before it). */
static size_t key_length(const char *text)
{
    size_t length = strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789-");

    if (!islower((unsigned char)text[0]) || length < 6 || length >= KEY_MAX ||
        memchr(text, '-', length) == NULL || text[length - 1] == '-' ||
        (text[length] != ']' && text[length] != ','))
        return 0;
    return length;
}

/* Whole file as a string that the caller frees; fails the test when there is none. */
static char *read_file(const char *folder, const char *name)
{
    char path[4096];
    char *text;
    size_t length;
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, "rb");
    ck_assert_msg(file != NULL, "%s cannot be opened", path);
    text = calloc(1, 1 << 20);
    ck_assert_ptr_nonnull(text);
    length = fread(text, 1, (1 << 20) - 1, file);
    ck_assert_msg(feof(file) != 0, "%s is longer than 1 MiB", path);
    text[length] = '\0';
    fclose(file);
    return text;
}

static int has_entry(const char *sources, const char *key)
{
    char heading[KEY_MAX + 8];

    snprintf(heading, sizeof heading, "\n## [%s]\n", key);
    return strstr(sources, heading) != NULL;
}

/* Counts keys in text; the first without an entry is copied to out_missing. */
static int count_keys(const char *text, const char *sources, char *out_missing)
{
    int count = 0;

    for (text = strchr(text, '['); text != NULL; text = strchr(text + 1, '[')) {
        size_t length = key_length(text + 1);
        char key[KEY_MAX];

        if (length == 0)
            continue;
        count++;
        snprintf(key, sizeof key, "%.*s", (int)length, text + 1);
        if (*out_missing == '\0' && !has_entry(sources, key))
            snprintf(out_missing, KEY_MAX, "%s", key);
    }
    return count;
}

static int is_code(const struct dirent *entry)
{
    const char *dot = strrchr(entry->d_name, '.');

    return dot != NULL && (strcmp(dot, ".c") == 0 || strcmp(dot, ".h") == 0);
}

START_TEST(every_source_key_in_lib_has_an_entry)
{
    const char *root = getenv("COIL_SOURCE_ROOT");
    char folder[4000];
    struct dirent **entries = NULL;
    char *sources;
    int keys = 0;
    int count;

    ck_assert_msg(root != NULL, "COIL_SOURCE_ROOT is not set");
    snprintf(folder, sizeof folder, "%s/lib", root);
    sources = read_file(root, "docs/sources.md");
    count = scandir(folder, &entries, is_code, alphasort);
    ck_assert_int_gt(count, 8);
    for (int i = 0; i < count; i++) {
        char missing[KEY_MAX] = "";
        char *text = read_file(folder, entries[i]->d_name);

        keys += count_keys(text, sources, missing);
        ck_assert_msg(*missing == '\0', "lib/%s: [%s] is not in docs/sources.md",
                      entries[i]->d_name, missing);
        free(text);
        free(entries[i]);
    }
    free(entries);
    free(sources);
    ck_assert_int_gt(keys, 15);
}
END_TEST

START_TEST(a_key_without_an_entry_is_found)
{
    static const char sources[] = "# Sources\n\n## [known-1999]\n\n[loose-2001]\n";
    char missing[KEY_MAX] = "";

    ck_assert_int_eq(
        count_keys("/* [known-1999] */ a[i - 1] [x] [CAPS-1]", sources, missing), 1);
    ck_assert_str_eq(missing, "");
    ck_assert_int_eq(
        count_keys("[known-1999] and [loose-2001, p. 3]", sources, missing), 2);
    ck_assert_str_eq(missing, "loose-2001");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("sources");
    TCase *tcase = tcase_create("sources");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, every_source_key_in_lib_has_an_entry);
    tcase_add_test(tcase, a_key_without_an_entry_is_found);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
