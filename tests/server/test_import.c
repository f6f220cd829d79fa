/*
 * Import of tables as people have them: each fixtures/import/NAME.csv has beside it,
 * written by hand, what must come out of it.
 */
#include <check.h>
#include <dirent.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/decimal.h"
#include "server/import.h"

#define NOW_S INT64_C(1795608000) /* 2026-11-25T12:00:00Z */
#define FILES_MAX 128
#define TEXT_MAX 20000

static char folder[512];
static char *names[FILES_MAX];
static int name_count;

/* Growing text that what was read is written to. */
struct report {
    char text[TEXT_MAX];
    size_t used;
    const struct zone *zone;
};

static void say(struct report *report, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void say(struct report *report, const char *format, ...)
{
    va_list arguments;
    int length;

    va_start(arguments, format);
    length = vsnprintf(report->text + report->used, TEXT_MAX - report->used, format,
                       arguments);
    va_end(arguments);
    ck_assert(length >= 0 && (size_t)length < TEXT_MAX - report->used);
    report->used += (size_t)length;
}

static void say_text(struct report *report, const char *name, const char *text)
{
    if (*text == '\0')
        return;
    say(report, " %s=", name);
    for (; *text != '\0'; text++) {
        if (*text == '\n')
            say(report, "\\n");
        else
            say(report, "%c", *text);
    }
}

static void say_value(struct report *report, const struct db_value *value)
{
    char number[24];

    decimal_write(value->amount_e6, number, sizeof number);
    say(report, " %s=%s%s", coil_quantity_info(value->quantity)->key, number,
        value->over_range ? ">" : "");
    if (value->resolution_e6 != 0) {
        decimal_write(value->resolution_e6, number, sizeof number);
        say(report, "(%s)", number);
    }
}

static bool take(void *context, struct import_row *row)
{
    struct report *report = context;
    char when[26];

    ck_assert_ptr_nonnull(row->text);
    if (row->code != NULL) {
        ck_assert_uint_gt(strlen(row->detail), 0);
        say(report, "refused %lld %s%s%s\n", (long long)row->line, row->code,
            row->field[0] != '\0' ? " " : "", row->field);
        return true;
    }
    zone_format(report->zone, row->reading.fact.at, when, sizeof when);
    say(report, "row %lld %s", (long long)row->line, when);
    for (size_t i = 0; i < row->reading.value_count; i++) {
        const struct db_value *value = &row->reading.values[i];

        ck_assert_int_eq(value->method, row->reading.method);
        ck_assert(i == 0 || value->quantity > value[-1].quantity);
        say_value(report, value);
    }
    if (row->reading.method != COIL_METHOD_UNKNOWN)
        say(report, " method=%s", coil_method_key(row->reading.method));
    say_text(report, "by", row->by);
    say_text(report, "note", row->reading.fact.note);
    if (row->doubtful)
        say(report, " doubtful=%s", row->field);
    say(report, "\n");
    return true;
}

static char *load(const char *name, const char *ending, size_t *out_length)
{
    char path[1024];
    char *text = malloc(TEXT_MAX);
    FILE *file;

    snprintf(path, sizeof path, "%s/%s%s", folder, name, ending);
    file = fopen(path, "rb");
    ck_assert_msg(file != NULL, "%s", path);
    *out_length = fread(text, 1, TEXT_MAX - 1, file);
    ck_assert(*out_length < TEXT_MAX - 1);
    text[*out_length] = '\0';
    fclose(file);
    /* A copy of the exact size, so that reading past the end is noticed. */
    return realloc(text, *out_length + 1);
}

static const char *const dates_words[] = {"auto", "ymd", "dmy", "mdy"};

/* "options zone=Europe/Berlin dates=dmy decimal=point method=strip" */
static void read_options(const char *line, struct import_options *options,
                         struct zone **out_zone)
{
    char copy[256];
    char *rest = NULL;

    snprintf(copy, sizeof copy, "%.*s", (int)strcspn(line, "\n"), line);
    ck_assert_str_eq(strtok_r(copy, " ", &rest), "options");
    for (char *word = strtok_r(NULL, " ", &rest); word != NULL;
         word = strtok_r(NULL, " ", &rest)) {
        char *value = strchr(word, '=');

        ck_assert_ptr_nonnull(value);
        *value++ = '\0';
        if (strcmp(word, "zone") == 0)
            ck_assert_int_eq(zone_open(value, out_zone), ZONE_OK);
        else if (strcmp(word, "decimal") == 0)
            options->decimal = strcmp(value, "comma") == 0 ? ',' : '.';
        else if (strcmp(word, "method") == 0)
            ck_assert_int_eq(coil_method_from_key(value, &options->method), COIL_OK);
        else if (strcmp(word, "dates") == 0)
            for (int i = 0; i < 4; i++)
                if (strcmp(dates_words[i], value) == 0)
                    options->dates = (enum import_dates)i;
    }
    options->zone = *out_zone;
    options->now_s = NOW_S;
}

static const char *fault_name(enum import_fault fault)
{
    static const char *const words[] = {"IMPORT_OK",
                                        "IMPORT_EMPTY",
                                        "IMPORT_NOT_UTF8",
                                        "IMPORT_NUL_BYTE",
                                        "IMPORT_NOT_CSV",
                                        "IMPORT_NO_HEADER",
                                        "IMPORT_NO_TIME_COLUMN",
                                        "IMPORT_NO_VALUE_COLUMN",
                                        "IMPORT_COLUMN_TWICE",
                                        "IMPORT_TOO_MANY_COLUMNS",
                                        "IMPORT_QUOTE_OPEN",
                                        "IMPORT_UNIT_WRONG"};

    return words[fault];
}

/* "fault NAME words|words": the sentence for people must hold each of the words. */
static void check_fault(const char *expected, enum import_fault fault,
                        const char *detail)
{
    char copy[256];
    char *rest = NULL;
    char *word;

    snprintf(copy, sizeof copy, "%.*s", (int)strcspn(expected, "\n"), expected);
    strtok_r(copy, " ", &rest); /* "fault" */
    ck_assert_str_eq(strtok_r(NULL, " ", &rest), fault_name(fault));
    ck_assert_uint_gt(strlen(detail), 0);
    while ((word = strtok_r(NULL, "|", &rest)) != NULL)
        ck_assert_msg(strstr(detail, word) != NULL, "\"%s\" not in \"%s\"", word,
                      detail);
}

static void say_dialect(struct report *report, const struct import_dialect *dialect,
                        size_t *out_end)
{
    struct report line = {.used = 0};

    say(&line, "dialect %s %s %s %s%s\n",
        dialect->separator == ';'    ? "semicolon"
        : dialect->separator == '\t' ? "tab"
                                     : "comma",
        dialect->decimal == ',' ? "comma" : "point", dates_words[dialect->dates],
        dialect->dates_guessed ? "guessed" : "settled", dialect->bom ? " bom" : "");
    ck_assert_uint_lt(line.used + report->used, TEXT_MAX);
    memmove(report->text + line.used, report->text, report->used + 1);
    memcpy(report->text, line.text, line.used);
    *out_end = line.used + report->used;
}

static void check_file(const char *name)
{
    size_t length, expected_length, end;
    char *text = load(name, ".csv", &length);
    char *expected = load(name, ".expected", &expected_length);
    const char *body = strchr(expected, '\n') + 1;
    struct import_options options = {0};
    struct import_dialect dialect;
    struct zone *zone = NULL;
    struct report *report = calloc(1, sizeof *report);
    char detail[200];
    enum import_fault fault;

    read_options(expected, &options, &zone);
    report->zone = zone;
    text = realloc(text, length > 0 ? length : 1); /* without the NUL */
    fault = import_read((const uint8_t *)text, length, &options, &dialect, take, report,
                        detail);
    if (strncmp(body, "fault ", 6) == 0) {
        check_fault(body, fault, detail);
    } else {
        ck_assert_msg(fault == IMPORT_OK, "%s: %s", fault_name(fault), detail);
        say_dialect(report, &dialect, &end);
        ck_assert_str_eq(report->text, body);
    }
    zone_close(zone);
    free(report);
    free(expected);
    free(text);
}

START_TEST(import_reads_the_file_as_written_beside_it)
{
    check_file(names[_i]);
}
END_TEST

/* ---- what needs no file ---- */

struct count {
    int rows, refused;
    int stop_after;
};

static bool count_row(void *context, struct import_row *row)
{
    struct count *count = context;

    count->rows++;
    count->refused += row->code != NULL;
    return count->rows != count->stop_after;
}

static enum import_fault read_text(const char *text, size_t length, struct count *count,
                                   struct import_dialect *dialect)
{
    struct import_options options = {.now_s = NOW_S};
    struct zone *zone = NULL;
    char detail[200];
    enum import_fault fault;

    ck_assert_int_eq(zone_open("America/New_York", &zone), ZONE_OK);
    options.zone = zone;
    fault = import_read((const uint8_t *)text, length, &options, dialect, count_row,
                        count, detail);
    zone_close(zone);
    return fault;
}

START_TEST(import_stops_when_told)
{
    static const char text[] = "Date,pH\n2026-11-01,7\n2026-11-02,7\n2026-11-03,7\n";
    struct count count = {.stop_after = 2};
    struct import_dialect dialect;

    ck_assert_int_eq(read_text(text, strlen(text), &count, &dialect), IMPORT_OK);
    ck_assert_int_eq(count.rows, 2);
}
END_TEST

START_TEST(import_tells_what_each_column_is)
{
    static const char text[] = "Datum;Wassertemperatur (\xC2\xB0"
                               "F);Wetter;Cl frei mg/l\n";
    struct count count = {0};
    struct import_dialect dialect;

    ck_assert_int_eq(read_text(text, strlen(text), &count, &dialect), IMPORT_OK);
    ck_assert_uint_eq(dialect.column_count, 4);
    ck_assert_int_eq(dialect.columns[0].role, IMPORT_DATE);
    ck_assert_str_eq(dialect.columns[0].header, "Datum");
    ck_assert_int_eq(dialect.columns[1].role, IMPORT_VALUE);
    ck_assert_int_eq(dialect.columns[1].quantity, COIL_WATER_TEMP);
    ck_assert_str_eq(dialect.columns[1].unit, "\xC2\xB0"
                                              "f");
    ck_assert_str_eq(dialect.columns[1].header, "Wassertemperatur (\xC2\xB0"
                                                "F)");
    ck_assert_int_eq(dialect.columns[2].role, IMPORT_IGNORED);
    ck_assert_int_eq(dialect.columns[3].quantity, COIL_FREE_CHLORINE);
    ck_assert_str_eq(dialect.columns[3].unit, "mg/l");
    ck_assert_int_eq(count.rows, 0);
}
END_TEST

/* Cut anywhere, changed anywhere: an answer, never a crash (sanitizers watch). */
START_TEST(import_survives_cut_and_damaged_files)
{
    size_t length;
    char *text = load(names[_i], ".csv", &length);
    struct import_dialect dialect;
    uint64_t state = (uint64_t)_i + 1;

    for (size_t cut = 0; cut <= length; cut += 1 + length / 97) {
        struct count count = {0};
        char *copy = malloc(cut > 0 ? cut : 1);

        memcpy(copy, text, cut);
        read_text(copy, cut, &count, &dialect);
        for (int i = 0; cut > 0 && i < 3; i++) {
            state = state * UINT64_C(6364136223846793005) + 1;
            copy[(state >> 33) % cut] = "\",;\n\r\t\xFF 0-/."[(state >> 20) % 12];
        }
        read_text(copy, cut, &count, &dialect);
        free(copy);
    }
    free(text);
}
END_TEST

/* Every 20 minutes of a year in a zone with jumps, forward: nothing is lost, and each
 * row is the instant that it was made from. */
struct round_trip {
    int64_t expected_s;
    int64_t step_s;
    int rows;
};

static bool compare_row(void *context, struct import_row *row)
{
    struct round_trip *trip = context;

    if (row->code != NULL || row->reading.fact.at != trip->expected_s)
        ck_abort_msg("line %lld", (long long)row->line);
    trip->expected_s += trip->step_s;
    trip->rows++;
    return true;
}

START_TEST(import_local_times_come_back_through_every_jump)
{
    static const char *const zones[] = {"Europe/Berlin", "Australia/Lord_Howe",
                                        "America/New_York", "Africa/Casablanca"};
    const int rows = 366 * 72;
    struct zone *zone = NULL;
    char *text = malloc((size_t)rows * 32 + 64);
    size_t used = 0;
    struct round_trip trip = {NOW_S - (int64_t)rows * 1200, 1200, 0};
    struct import_options options = {.now_s = NOW_S};
    struct import_dialect dialect;
    char detail[200];

    ck_assert_int_eq(zone_open(zones[_i], &zone), ZONE_OK);
    options.zone = zone;
    used += (size_t)snprintf(text, 16, "Date;pH\n");
    for (int i = 0; i < rows; i++) {
        struct civil_time civil;

        zone_civil(zone, trip.expected_s + i * trip.step_s, &civil);
        used += (size_t)snprintf(text + used, 32, "%02d.%02d.%04d %02d:%02d;7,4\n",
                                 civil.day, civil.month, civil.year, civil.hour,
                                 civil.minute);
    }
    ck_assert_int_eq(import_read((const uint8_t *)text, used, &options, &dialect,
                                 compare_row, &trip, detail),
                     IMPORT_OK);
    ck_assert_int_eq(trip.rows, rows);
    zone_close(zone);
    free(text);
}
END_TEST

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void find_files(void)
{
    DIR *directory = opendir(folder);
    struct dirent *entry;

    while (directory != NULL && (entry = readdir(directory)) != NULL) {
        char *ending = strstr(entry->d_name, ".csv");

        if (ending == NULL || name_count == FILES_MAX)
            continue;
        *ending = '\0';
        names[name_count++] = strdup(entry->d_name);
    }
    if (directory != NULL)
        closedir(directory);
    qsort(names, (size_t)name_count, sizeof names[0], compare_names);
}

int main(void)
{
    const char *root = getenv("COIL_SOURCE_ROOT"); /* set by meson */
    Suite *suite = suite_create("import");
    TCase *files = tcase_create("files");
    TCase *code = tcase_create("code");
    SRunner *runner;
    int failed;

    snprintf(folder, sizeof folder, "%s/fixtures/import", root != NULL ? root : ".");
    find_files();
    if (name_count < 25) {
        fprintf(stderr, "%s: only %d files\n", folder, name_count);
        return 1;
    }
    tcase_add_loop_test(files, import_reads_the_file_as_written_beside_it, 0,
                        name_count);
    tcase_add_loop_test(files, import_survives_cut_and_damaged_files, 0, name_count);
    tcase_add_test(code, import_stops_when_told);
    tcase_add_test(code, import_tells_what_each_column_is);
    tcase_add_loop_test(code, import_local_times_come_back_through_every_jump, 0, 4);
    tcase_set_timeout(code, 60);
    suite_add_tcase(suite, files);
    suite_add_tcase(suite, code);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    for (int i = 0; i < name_count; i++)
        free(names[i]);
    return failed == 0 ? 0 : 1;
}
