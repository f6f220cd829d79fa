/* Decimal text to scaled integers and back. The table is shared with the browser's
 * tests. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/decimal.h"
#include "tests/support/table.h"

static struct table *table;

static const char *status_name(enum decimal_status status)
{
    static const char *const names[] = {"DECIMAL_OK", "DECIMAL_EMPTY",
                                        "DECIMAL_NOT_A_NUMBER",
                                        "DECIMAL_TWO_SEPARATORS", "DECIMAL_TOO_LARGE"};
    return names[status];
}

static char separator_of(const char *word)
{
    return strcmp(word, "point") == 0 ? '.' : strcmp(word, "comma") == 0 ? ',' : 0;
}

START_TEST(decimal_read_gives_what_the_table_says)
{
    size_t row = (size_t)_i;
    const char *text = table_text(table, row, "text");
    const char *wanted = table_text(table, row, "value_e6");
    int64_t value = 123;
    enum decimal_status status = decimal_read(
        text, strlen(text), separator_of(table_text(table, row, "separator")), &value);

    ck_assert_msg(strcmp(status_name(status), table_text(table, row, "status")) == 0,
                  "line %zu: \"%s\" gave %s", table_line(table, row), text,
                  status_name(status));
    /* Refused text leaves the output as it was. */
    ck_assert_int_eq(value, *wanted == '\0' ? 123 : strtoll(wanted, NULL, 10));
}
END_TEST

START_TEST(decimal_read_looks_only_at_the_length_given)
{
    int64_t value = 0;

    ck_assert_int_eq(decimal_read("7.45x", 3, 0, &value), DECIMAL_OK);
    ck_assert_int_eq(value, 7400000);
    ck_assert_int_eq(decimal_read("7\0"
                                  "4",
                                  3, 0, &value),
                     DECIMAL_NOT_A_NUMBER);
    ck_assert_int_eq(decimal_read(NULL, 0, 0, &value), DECIMAL_EMPTY);
}
END_TEST

START_TEST(decimal_write_gives_the_shortest_text)
{
    static const struct {
        int64_t value_e6;
        const char *text;
    } rows[] = {
        {7400000, "7.4"},
        {0, "0"},
        {1, "0.000001"},
        {-1, "-0.000001"},
        {-3200000, "-3.2"},
        {100000000, "100"},
        {7123456, "7.123456"},
        {500000, "0.5"},
        {7050000, "7.05"},
        {-50010, "-0.05001"},
        {10000000, "10"},
        {INT64_MAX, "9223372036854.775807"},
        {INT64_MIN, "-9223372036854.775808"},
    };
    char text[24];

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t length = decimal_write(rows[i].value_e6, text, sizeof text);

        ck_assert_str_eq(text, rows[i].text);
        ck_assert_uint_eq(length, strlen(text));
    }
}
END_TEST

START_TEST(decimal_text_comes_back_exactly)
{
    uint64_t state = 42;
    char text[24];

    for (int i = 0; i < 100000; i++) {
        int64_t value;
        int64_t back = 0;
        size_t length;

        state = state * UINT64_C(6364136223846793005) + 1442695040888963407u;
        value = (int64_t)(state >> (8 + i % 50)) - 1000;
        if (value >= INT64_C(1000000000000000000))
            value %= INT64_C(1000000000000000000);
        length = decimal_write(value, text, sizeof text);
        /* Check reports passed assertions too, which is slow in a long loop. */
        if (decimal_read(text, length, '.', &back) != DECIMAL_OK || back != value)
            ck_abort_msg("%s", text);
    }
}
END_TEST

START_TEST(decimal_doubles_are_the_nearest)
{
    ck_assert_double_eq(decimal_to_double(7400000), 7.4);
    ck_assert_int_eq(decimal_from_double(7.4), 7400000);
    ck_assert_int_eq(decimal_from_double(-0.1), -100000);
    ck_assert_int_eq(decimal_from_double(0.0), 0);
    for (int64_t value = -2000000; value < 2000000; value += 7)
        if (decimal_from_double(decimal_to_double(value)) != value)
            ck_abort_msg("%lld", (long long)value);
}
END_TEST

int main(void)
{
    const char *root = getenv("COIL_SOURCE_ROOT"); /* set by meson */
    char path[512];
    char message[TABLE_MESSAGE_SIZE];
    Suite *suite = suite_create("decimal");
    TCase *rows = tcase_create("table");
    TCase *code = tcase_create("code");
    SRunner *runner;
    int failed;

    snprintf(path, sizeof path, "%s/fixtures/decimal.csv", root != NULL ? root : ".");
    table = table_load(path, message);
    if (table == NULL || table_row_count(table) < 60) {
        fprintf(stderr, "decimal.csv: %s\n", table == NULL ? message : "too few rows");
        return 1;
    }
    tcase_add_loop_test(rows, decimal_read_gives_what_the_table_says, 0,
                        (int)table_row_count(table));
    tcase_add_test(code, decimal_read_looks_only_at_the_length_given);
    tcase_add_test(code, decimal_write_gives_the_shortest_text);
    tcase_add_test(code, decimal_text_comes_back_exactly);
    tcase_add_test(code, decimal_doubles_are_the_nearest);
    suite_add_tcase(suite, rows);
    suite_add_tcase(suite, code);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    table_destroy(table);
    return failed == 0 ? 0 : 1;
}
