/*
 * Checks our computations against every row of the CSV tables in a folder.
 *
 *     tables DIR
 *
 * Prints one line per failure (file, line, what was expected, what was got), one
 * `not yet checked: NAME` per table that nothing of ours computes, and last
 * `N passed, N failed`. Exit code 0, 1 when something failed, 2 for wrong use.
 *
 * Tables that are absent are left out. A CSV file of an unknown name and one that
 * cannot be read as a table count as one failure each.
 */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "tests/lib/tables.h"

static const struct table_check *const topics[] = {
    tables_units,
    tables_water,
    tables_index,
    tables_line,
    tables_loss,
    tables_sun,
    tables_equilibrium,
    tables_chlorine,
    tables_dose,
    tables_combustion,
    tables_heat,
    tables_worked,
    tables_limits,
    tables_metal,
};

#define TOPIC_COUNT (sizeof topics / sizeof topics[0])

struct counts {
    size_t passed;
    size_t failed;
};

/* The next check for this file; start with *topic = 0 and *check = topics[0]. */
static const struct table_check *next_check(const char *file, size_t *topic,
                                            const struct table_check **check)
{
    while (*topic < TOPIC_COUNT) {
        for (; (*check)->file != NULL; (*check)++)
            if (strcmp((*check)->file, file) == 0 && (*check)->check_row != NULL)
                return (*check)++;
        if (++*topic < TOPIC_COUNT)
            *check = topics[*topic];
    }
    return NULL;
}

static int has_check(const char *file)
{
    size_t topic = 0;
    const struct table_check *check = topics[0];

    return next_check(file, &topic, &check) != NULL;
}

static int is_known(const char *file)
{
    for (size_t i = 0; tables_known[i] != NULL; i++)
        if (strcmp(tables_known[i], file) == 0)
            return 1;
    return has_check(file);
}

/* All checks of one row; each failure is printed, the row counts once. */
static int check_row(const char *file, const struct table *table, size_t row)
{
    size_t topic = 0;
    const struct table_check *next = topics[0];
    const struct table_check *check;
    int passed = 1;

    while ((check = next_check(file, &topic, &next)) != NULL) {
        char message[TABLE_MESSAGE_SIZE] = "no reason given";

        if (!check->check_row(table, row, message)) {
            printf("%s:%zu: %s\n", file, table_line(table, row), message);
            passed = 0;
        }
    }
    return passed;
}

static void check_file(const char *folder, const char *file, struct counts *counts)
{
    char message[TABLE_MESSAGE_SIZE] = "";
    char path[4096];
    struct table *table = NULL;
    int length = snprintf(path, sizeof path, "%s/%s", folder, file);

    if (!is_known(file))
        snprintf(message, sizeof message, "no table of ours has this name");
    else if (length < 0 || (size_t)length >= sizeof path)
        snprintf(message, sizeof message, "the path is too long");
    else
        table = table_load(path, message);
    if (table == NULL) {
        printf("%s: %s\n", file, message);
        counts->failed++;
        return;
    }
    if (!has_check(file)) {
        printf("not yet checked: %s\n", file);
    } else {
        for (size_t row = 0; row < table_row_count(table); row++) {
            if (check_row(file, table, row))
                counts->passed++;
            else
                counts->failed++;
        }
    }
    table_destroy(table);
}

/* A shell would not list hidden files either. */
static int is_csv(const struct dirent *entry)
{
    const char *dot = strrchr(entry->d_name, '.');

    return dot != NULL && entry->d_name[0] != '.' && strcasecmp(dot, ".csv") == 0;
}

int main(int argc, char **argv)
{
    struct counts counts = {0, 0};
    struct dirent **entries = NULL;
    int count;

    if (argc != 2) {
        fprintf(stderr, "usage: %s DIR\n", argv[0]);
        return 2;
    }
    count = scandir(argv[1], &entries, is_csv, alphasort);
    if (count < 0) {
        fprintf(stderr, "%s: cannot be read\n", argv[1]);
        return 2;
    }
    if (count == 0)
        fprintf(stderr, "%s: no CSV files\n", argv[1]);
    for (int i = 0; i < count; i++) {
        check_file(argv[1], entries[i]->d_name, &counts);
        free(entries[i]);
    }
    free(entries);
    printf("%zu passed, %zu failed\n", counts.passed, counts.failed);
    return counts.failed == 0 ? 0 : 1;
}
