/*
 * The reader of CSV tables, and the heads of our own tables.
 */
#include <check.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/lib/tables.h"

static char message[TABLE_MESSAGE_SIZE];

static struct table *parse(const char *text)
{
    message[0] = '\0';
    return table_parse(text, strlen(text), message);
}

static void assert_refused(const char *text, const char *reason)
{
    struct table *table = parse(text);

    ck_assert_msg(table == NULL, "accepted: %s", text);
    ck_assert_msg(strstr(message, reason) != NULL, "\"%s\" does not say \"%s\"",
                  message, reason);
}

START_TEST(table_gives_head_columns_rows_and_lines)
{
    struct table *table = parse("# title: a table\n"
                                "# source: by hand: see below\n"
                                "\n"
                                "# a comment\n"
                                "name,value\n"
                                "one,1\n"
                                "# between rows\n"
                                "\n"
                                "two,-2.5e3\n");
    double value = 0;

    ck_assert_msg(table != NULL, "%s", message);
    ck_assert_str_eq(table_head(table, "title"), "a table");
    ck_assert_str_eq(table_head(table, "source"), "by hand: see below");
    ck_assert_ptr_null(table_head(table, "kind"));
    ck_assert_uint_eq(table_row_count(table), 2);
    ck_assert_str_eq(table_text(table, 0, "name"), "one");
    ck_assert_str_eq(table_text(table, 1, "name"), "two");
    ck_assert_uint_eq(table_line(table, 0), 6);
    ck_assert_uint_eq(table_line(table, 1), 9);
    ck_assert_uint_eq(table_line(table, 2), 0);
    ck_assert_int_eq(table_number(table, 1, "value", &value), TABLE_NUMBER);
    ck_assert_double_eq(value, -2500);
    table_destroy(table);
}
END_TEST

START_TEST(table_cell_tells_number_empty_text_and_no_column_apart)
{
    struct table *table = parse("a,b,c,d,e\n1.5, ,1.5x,nan,\" 2 \"\n");
    double value = 7;

    ck_assert_ptr_nonnull(table);
    ck_assert_int_eq(table_number(table, 0, "b", &value), TABLE_EMPTY);
    ck_assert_int_eq(table_number(table, 0, "c", &value), TABLE_NOT_NUMBER);
    ck_assert_int_eq(table_number(table, 0, "e", &value), TABLE_NOT_NUMBER);
    ck_assert_int_eq(table_number(table, 0, "f", &value), TABLE_NO_COLUMN);
    ck_assert_int_eq(table_number(table, 1, "a", &value), TABLE_NO_COLUMN);
    ck_assert_double_eq(value, 7);
    ck_assert_int_eq(table_number(table, 0, "d", &value), TABLE_NUMBER);
    ck_assert(isnan(value));
    ck_assert_int_eq(table_has_column(table, "a"), 1);
    ck_assert_int_eq(table_has_column(table, "A"), 0);
    ck_assert_ptr_null(table_text(table, 0, "f"));
    ck_assert_ptr_null(table_text(table, 1, "a"));
    ck_assert_str_eq(table_text(table, 0, "b"), "");
    table_destroy(table);
}
END_TEST

START_TEST(table_reads_quotes_with_commas_quotes_and_line_breaks)
{
    struct table *table = parse("\"a\",b,c\n"
                                "\"x, y\",\"say \"\"hi\"\"\",\"\"\n"
                                " \"two\nlines\" ,2, 3 \n"
                                "plain \"quote\" inside,4,5\n");

    ck_assert_msg(table != NULL, "%s", message);
    ck_assert_str_eq(table_text(table, 0, "a"), "x, y");
    ck_assert_str_eq(table_text(table, 0, "b"), "say \"hi\"");
    ck_assert_str_eq(table_text(table, 0, "c"), "");
    ck_assert_str_eq(table_text(table, 1, "a"), "two\nlines");
    ck_assert_str_eq(table_text(table, 1, "c"), "3");
    ck_assert_str_eq(table_text(table, 2, "a"), "plain \"quote\" inside");
    ck_assert_uint_eq(table_line(table, 1), 3);
    ck_assert_uint_eq(table_line(table, 2), 5);
    table_destroy(table);
}
END_TEST

/* Written on other systems: byte order mark, CRLF, blanks, no last newline. */
START_TEST(table_reads_files_from_other_systems)
{
    struct table *table =
        parse("\xEF\xBB\xBF# title: t\r\n\r\na , b\r\n1,\"2\"\r\n3,4");
    double value = 0;

    ck_assert_msg(table != NULL, "%s", message);
    ck_assert_str_eq(table_head(table, "title"), "t");
    ck_assert_uint_eq(table_row_count(table), 2);
    ck_assert_int_eq(table_number(table, 0, "b", &value), TABLE_NUMBER);
    ck_assert_double_eq(value, 2);
    ck_assert_int_eq(table_number(table, 1, "b", &value), TABLE_NUMBER);
    ck_assert_double_eq(value, 4);
    table_destroy(table);
    table = parse("a,b\n1,");
    ck_assert_msg(table != NULL, "%s", message);
    ck_assert_str_eq(table_text(table, 0, "b"), "");
    table_destroy(table);
    table = parse("a,b\n\"1\",\"2\"");
    ck_assert_msg(table != NULL, "%s", message);
    ck_assert_str_eq(table_text(table, 0, "b"), "2");
    table_destroy(table);
}
END_TEST

START_TEST(table_refuses_ragged_rows)
{
    assert_refused("a,b\n1,2\n3\n", "line 3: 1 fields where there are 2");
    assert_refused("a,b\n1,2,3\n", "line 2: 3 fields where there are 2");
    assert_refused("# k: v\na,b\n1,2\n3,4,\n", "line 4: 3 fields");
}
END_TEST

START_TEST(table_refuses_column_names_that_are_missing_or_double)
{
    assert_refused("# title: t\n1,2\n3,4\n", "line of column names is missing");
    assert_refused("a,,c\n1,2,3\n", "cannot be the name of a column");
    assert_refused("a,b,\n1,2,3\n", "cannot be the name of a column");
    assert_refused("a,b,a\n1,2,3\n", "column a stands twice");
    assert_refused("", "line of column names is missing");
    assert_refused("# title: t\n\n", "line of column names is missing");
}
END_TEST

START_TEST(table_refuses_empty_tables_and_broken_text)
{
    assert_refused("a,b\n", "no rows");
    assert_refused("a,b\n# only a comment\n\n", "no rows");
    assert_refused("a,b\n\"1,2\n", "quote");
    assert_refused("a,b\n\"1\"x,2\n", "quote");
    ck_assert_ptr_null(table_parse("a\n1\0\n", 6, message));
    ck_assert_ptr_nonnull(strstr(message, "NUL"));
    table_destroy(NULL);
}
END_TEST

START_TEST(table_refuses_files_that_cannot_be_read)
{
    ck_assert_ptr_null(table_load("/nonexistent/table.csv", message));
    ck_assert_ptr_nonnull(strstr(message, "cannot be opened"));
    ck_assert_ptr_null(table_load("/", message));
    ck_assert_ptr_nonnull(strstr(message, "cannot be"));
}
END_TEST

START_TEST(table_keeps_every_row_of_a_long_table)
{
    static char text[200000];
    size_t length = (size_t)snprintf(text, sizeof text, "n,square\n");
    struct table *table;
    double value;

    for (int i = 0; i < 10000; i++)
        length +=
            (size_t)snprintf(text + length, sizeof text - length, "%d,%d\n", i, i * i);
    table = table_parse(text, length, message);
    ck_assert_msg(table != NULL, "%s", message);
    ck_assert_uint_eq(table_row_count(table), 10000);
    for (size_t i = 0; i < 10000; i += 777) {
        ck_assert_int_eq(table_number(table, i, "square", &value), TABLE_NUMBER);
        ck_assert_double_eq(value, (double)(i * i));
        ck_assert_uint_eq(table_line(table, i), i + 2);
    }
    table_destroy(table);
}
END_TEST

START_TEST(table_head_names_what_is_missing)
{
    struct table *table = parse("# title: t\n# source: s\n# kind: k\n# units: u\n"
                                "# tolerance: 1\na\n1\n");

    ck_assert_int_eq(table_head_complete(table, message), 1);
    table_destroy(table);
    table =
        parse("# title: t\n# source:\n# kind: k\n# units: u\n# tolerance: 1\na\n1\n");
    ck_assert_int_eq(table_head_complete(table, message), 0);
    ck_assert_ptr_nonnull(strstr(message, "source"));
    table_destroy(table);
    table = parse("a\n1\n");
    ck_assert_int_eq(table_head_complete(table, message), 0);
    ck_assert_ptr_nonnull(strstr(message, "title"));
    table_destroy(table);
}
END_TEST

START_TEST(check_near_fails_for_nan_text_absence_and_distance)
{
    struct table *table = parse("v,text,empty\n10,x,\n");

    ck_assert_int_eq(check_near(table, 0, "v", 10.1, 0.2, message), 1);
    ck_assert_int_eq(check_near(table, 0, "v", 10.3, 0.2, message), 0);
    ck_assert_ptr_nonnull(strstr(message, "expected 10"));
    ck_assert_ptr_nonnull(strstr(message, "got 10.3"));
    ck_assert_int_eq(check_near(table, 0, "v", NAN, 0.2, message), 0);
    ck_assert_int_eq(check_near(table, 0, "v", INFINITY, 0.2, message), 0);
    ck_assert_int_eq(check_near(table, 0, "v", 10, NAN, message), 0);
    ck_assert_int_eq(check_near(table, 0, "text", 10, 1e9, message), 0);
    ck_assert_int_eq(check_near(table, 0, "absent", 10, 1e9, message), 0);
    ck_assert_int_eq(check_near(table, 0, "empty", 10, 0.2, message), 1);
    ck_assert_int_eq(check_near_relative(table, 0, "v", 10.1, 0.02, message), 1);
    ck_assert_int_eq(check_near_relative(table, 0, "v", 10.3, 0.02, message), 0);
    table_destroy(table);
}
END_TEST

START_TEST(check_printed_allows_half_of_the_last_digit)
{
    struct table *table = parse("a,b,c,d\n0.7,74,-1.250,1e3\n");

    ck_assert_double_eq_tol(check_half_digit(table, 0, "a"), 0.05, 1e-8);
    ck_assert_double_eq_tol(check_half_digit(table, 0, "b"), 0.5, 1e-6);
    ck_assert_double_eq_tol(check_half_digit(table, 0, "c"), 0.0005, 1e-8);
    ck_assert_double_eq(check_half_digit(table, 0, "d"), 0);
    ck_assert_int_eq(check_printed(table, 0, "a", 0.749, message), 1);
    ck_assert_int_eq(check_printed(table, 0, "a", 0.751, message), 0);
    table_destroy(table);
}
END_TEST

START_TEST(check_input_takes_empty_for_nan_and_refuses_text)
{
    struct table *table = parse("v,text,empty\n10,x,\n");
    double value = 0;

    ck_assert_int_eq(check_input(table, 0, "v", &value, message), 1);
    ck_assert_double_eq(value, 10);
    ck_assert_int_eq(check_input(table, 0, "empty", &value, message), 1);
    ck_assert(isnan(value));
    ck_assert_int_eq(check_input(table, 0, "text", &value, message), 0);
    ck_assert_int_eq(check_input(table, 0, "absent", &value, message), 0);
    table_destroy(table);
}
END_TEST

/* Rows of a table with the columns status and out, and what each status leads to. */
static const struct {
    const char *row;
    enum coil_status got;
    enum check_next next;
} status_cases[] = {
    {"COIL_OK,3", COIL_OK, CHECK_GO_ON},
    {"COIL_OK,3", COIL_WARN_RANGE, CHECK_FAILED},
    {"COIL_OK,3", COIL_ERR_DOMAIN, CHECK_FAILED},
    {"COIL_WARN_RANGE,3", COIL_WARN_RANGE, CHECK_GO_ON},
    {"COIL_WARN_RANGE,3", COIL_OK, CHECK_FAILED},
    {"COIL_ERR_DOMAIN,", COIL_ERR_DOMAIN, CHECK_PASSED},
    {"COIL_ERR_DOMAIN,", COIL_ERR_NOT_FINITE, CHECK_FAILED},
    {"COIL_ERR_DOMAIN,", COIL_OK, CHECK_FAILED},
    {"refused,", COIL_ERR_NOT_FINITE, CHECK_PASSED},
    {"refused,", COIL_OK, CHECK_FAILED},
    {",3", COIL_OK, CHECK_GO_ON},
    {",3", COIL_WARN_RANGE, CHECK_GO_ON},
    {",3", COIL_ERR_DOMAIN, CHECK_FAILED},
    {"reproduced,3", COIL_OK, CHECK_GO_ON},
    {",", COIL_ERR_DOMAIN, CHECK_PASSED},
    {",", COIL_OK, CHECK_FAILED},
    {",refused", COIL_ERR_DOMAIN, CHECK_PASSED},
    {",COIL_ERR_DOMAIN", COIL_ERR_DOMAIN, CHECK_PASSED},
    {",COIL_ERR_DOMAIN", COIL_ERR_UNKNOWN, CHECK_FAILED},
};

START_TEST(check_status_expects_refusals_where_the_row_says_so)
{
    static const char *const expected[] = {"out", NULL};
    char text[128];
    struct table *table;

    snprintf(text, sizeof text, "in,status,out\n1,%s\n", status_cases[_i].row);
    table = parse(text);
    ck_assert_ptr_nonnull(table);
    ck_assert_msg(check_status(table, 0, status_cases[_i].got, expected, message) ==
                      status_cases[_i].next,
                  "%s with %s", status_cases[_i].row,
                  coil_status_name(status_cases[_i].got));
    table_destroy(table);
}
END_TEST

static int is_csv(const struct dirent *entry)
{
    const char *dot = strrchr(entry->d_name, '.');

    return dot != NULL && strcmp(dot, ".csv") == 0;
}

START_TEST(every_fixture_table_is_known_and_has_a_whole_head)
{
    const char *root = getenv("COIL_SOURCE_ROOT");
    char folder[2048];
    struct dirent **entries = NULL;
    int count;
    int known = 0;

    ck_assert_msg(root != NULL, "COIL_SOURCE_ROOT is not set");
    snprintf(folder, sizeof folder, "%s/fixtures/tables", root);
    count = scandir(folder, &entries, is_csv, alphasort);
    ck_assert_int_gt(count, 50);
    for (int i = 0; i < count; i++) {
        char path[4096];
        struct table *table;

        snprintf(path, sizeof path, "%s/%s", folder, entries[i]->d_name);
        table = table_load(path, message);
        ck_assert_msg(table != NULL, "%s: %s", entries[i]->d_name, message);
        ck_assert_msg(table_head_complete(table, message), "%s: %s", entries[i]->d_name,
                      message);
        for (size_t j = 0; tables_known[j] != NULL; j++)
            known += strcmp(tables_known[j], entries[i]->d_name) == 0;
        ck_assert_msg(known == i + 1, "%s is not in tables_known.c",
                      entries[i]->d_name);
        table_destroy(table);
        free(entries[i]);
    }
    free(entries);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("table");
    TCase *tcase = tcase_create("table");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, table_gives_head_columns_rows_and_lines);
    tcase_add_test(tcase, table_cell_tells_number_empty_text_and_no_column_apart);
    tcase_add_test(tcase, table_reads_quotes_with_commas_quotes_and_line_breaks);
    tcase_add_test(tcase, table_reads_files_from_other_systems);
    tcase_add_test(tcase, table_refuses_ragged_rows);
    tcase_add_test(tcase, table_refuses_column_names_that_are_missing_or_double);
    tcase_add_test(tcase, table_refuses_empty_tables_and_broken_text);
    tcase_add_test(tcase, table_refuses_files_that_cannot_be_read);
    tcase_add_test(tcase, table_keeps_every_row_of_a_long_table);
    tcase_add_test(tcase, table_head_names_what_is_missing);
    tcase_add_test(tcase, check_near_fails_for_nan_text_absence_and_distance);
    tcase_add_test(tcase, check_printed_allows_half_of_the_last_digit);
    tcase_add_test(tcase, check_input_takes_empty_for_nan_and_refuses_text);
    tcase_add_loop_test(tcase, check_status_expects_refusals_where_the_row_says_so, 0,
                        (int)(sizeof status_cases / sizeof status_cases[0]));
    tcase_add_test(tcase, every_fixture_table_is_known_and_has_a_whole_head);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
