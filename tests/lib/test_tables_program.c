/*
 * The program `tables` as a stranger runs it: over a folder with other rows.
 *
 * The path of the program is the argument.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static const char *program;
static char folder[64];
static char output[65536];

static void make_folder(void)
{
    snprintf(folder, sizeof folder, "/tmp/coil-tables-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
}

static void remove_folder(void)
{
    ck_assert_int_eq(rmdir(folder), 0);
}

static void path_of(char *path, size_t size, const char *name)
{
    snprintf(path, size, "%s/%s", folder, name);
}

static void write_file(const char *name, const char *text)
{
    char path[256];
    FILE *file;

    path_of(path, sizeof path, name);
    file = fopen(path, "wb");
    ck_assert_ptr_nonnull(file);
    ck_assert_int_ge(fputs(text, file), 0);
    ck_assert_int_eq(fclose(file), 0);
}

static void remove_file(const char *name)
{
    char path[256];

    path_of(path, sizeof path, name);
    ck_assert_int_eq(unlink(path), 0);
}

/* Fills output; returns the exit code. */
static int run(const char *argument)
{
    char command[4096];
    FILE *pipe;
    size_t length;
    int status;

    snprintf(command, sizeof command, "'%s' %s 2>&1", program, argument);
    pipe = popen(command, "r");
    ck_assert_ptr_nonnull(pipe);
    length = fread(output, 1, sizeof output - 1, pipe);
    output[length] = '\0';
    status = pclose(pipe);
    ck_assert(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void assert_output_ends(const char *end)
{
    size_t length = strlen(output);

    ck_assert_msg(length >= strlen(end) &&
                      strcmp(output + length - strlen(end), end) == 0,
                  "printed:\n%s", output);
}

#define LARSON_HEAD "id,alk,chloride,sulfate,published,ratio_calc\n"

/* 100 mg/L as CaCO3 is 1.99826 meq/L; 35.453 mg/L chloride is 1 meq/L: 0.50043. */
START_TEST(rows_that_are_right_pass_and_extra_columns_do_no_harm)
{
    write_file(
        "larson_skold.csv",
        "# another comment\r\nid,note,alk,chloride,sulfate,published,ratio_calc\r\n"
        "A,\"x, y\",100,35.453,0,0.5,0.500\r\nB,,100,0,48.03,,0.5004");
    ck_assert_int_eq(run(folder), 0);
    ck_assert_str_eq(output, "2 passed, 0 failed\n");
    remove_file("larson_skold.csv");
}
END_TEST

START_TEST(a_wrong_row_is_named_with_file_line_and_both_values)
{
    write_file("larson_skold.csv", "# title: t\n" LARSON_HEAD "A,100,35.453,0,,0.500\n"
                                   "B,100,35.453,0,,0.600\n");
    ck_assert_int_eq(run(folder), 1);
    ck_assert_ptr_nonnull(
        strstr(output, "larson_skold.csv:4: ratio_calc: expected 0.6"));
    ck_assert_ptr_nonnull(strstr(output, "got 0.50043"));
    assert_output_ends("1 passed, 1 failed\n");
    remove_file("larson_skold.csv");
}
END_TEST

START_TEST(rows_that_must_be_refused_count_as_passes_when_they_are)
{
    write_file("larson_skold.csv",
               "id,alk,chloride,sulfate,published,ratio_calc,status\n"
               "A,0,10,10,,,COIL_ERR_DOMAIN\n"
               "B,,10,10,,,COIL_ERR_NOT_FINITE\n"
               "C,100,-1,10,,,\n"
               "D,100,nan,10,,,refused\n"
               "E,100,35.453,0,,0.500,COIL_OK\n");
    ck_assert_int_eq(run(folder), 0);
    ck_assert_str_eq(output, "5 passed, 0 failed\n");
    write_file("larson_skold.csv",
               "id,alk,chloride,sulfate,published,ratio_calc,status\n"
               "A,100,10,10,,,COIL_ERR_DOMAIN\n"
               "B,0,10,10,,1.0,\n");
    ck_assert_int_eq(run(folder), 1);
    ck_assert_ptr_nonnull(strstr(output, "expected COIL_ERR_DOMAIN, got COIL_OK"));
    ck_assert_ptr_nonnull(strstr(output, "expected a number, got COIL_ERR_DOMAIN"));
    assert_output_ends("0 passed, 2 failed\n");
    remove_file("larson_skold.csv");
}
END_TEST

START_TEST(unknown_names_and_broken_tables_are_failures)
{
    write_file("larsen_skold.csv", LARSON_HEAD "A,100,35.453,0,,0.500\n");
    write_file("aggressive_index.csv", "id,pH,alk\nA,8\n");
    write_file("README.txt", "not a table\n");
    ck_assert_int_eq(run(folder), 1);
    ck_assert_ptr_nonnull(strstr(output, "larsen_skold.csv: no table of ours"));
    ck_assert_ptr_nonnull(strstr(output, "aggressive_index.csv: line 2: 2 fields"));
    assert_output_ends("0 passed, 2 failed\n");
    remove_file("larsen_skold.csv");
    remove_file("aggressive_index.csv");
    remove_file("README.txt");
}
END_TEST

START_TEST(a_column_that_a_check_needs_must_be_there)
{
    write_file("larson_skold.csv", "id,alk,chloride,sulfate,published\n"
                                   "A,100,35.453,0,0.5\n");
    ck_assert_int_eq(run(folder), 1);
    ck_assert_ptr_nonnull(strstr(output, "no column ratio_calc"));
    assert_output_ends("0 passed, 1 failed\n");
    remove_file("larson_skold.csv");
}
END_TEST

START_TEST(tables_that_nothing_checks_are_named_and_not_counted)
{
    write_file("ct_giardia.csv", "id,pH\nG1,7.5\n");
    ck_assert_int_eq(run(folder), 0);
    ck_assert_str_eq(output, "not yet checked: ct_giardia.csv\n0 passed, 0 failed\n");
    remove_file("ct_giardia.csv");
}
END_TEST

START_TEST(wrong_use_ends_with_two)
{
    ck_assert_int_eq(run(""), 2);
    ck_assert_ptr_nonnull(strstr(output, "usage"));
    ck_assert_int_eq(run("/nonexistent"), 2);
}
END_TEST

/* Every conversion of the two directions, by names that the table does not have. */
START_TEST(other_units_are_found_by_key_symbol_and_words)
{
    write_file("unit_conversions.csv", "quantity,value,unit,exactness\n"
                                       "inch,25.4,mm,exact\n"
                                       "bar,100000,Pa,exact\n"
                                       "us_fl_oz,29.5735295625,mL,exact\n"
                                       "kWh in MJ,3.6,,exact\n"
                                       "kWh in MJ,3.6,MJ,exact\n"
                                       "g per lb,453.59237,,exact\n"
                                       "German degree,17.848,mg_per_l_caco3,printed\n"
                                       "degC,33.8,degF,exact\n"
                                       "pound,1,m,\n"
                                       "kg in m,,,COIL_ERR_DOMAIN\n");
    ck_assert_int_eq(run(folder), 1);
    ck_assert_ptr_nonnull(
        strstr(output, "csv:10: expected a number, got COIL_ERR_DOM"));
    assert_output_ends("9 passed, 1 failed\n");
    remove_file("unit_conversions.csv");
}
END_TEST

int main(int argc, char **argv)
{
    Suite *suite = suite_create("tables_program");
    TCase *tcase = tcase_create("tables_program");
    SRunner *runner;
    int failed;

    if (argc != 2) {
        fprintf(stderr, "usage: %s PROGRAM\n", argv[0]);
        return 2;
    }
    program = argv[1];
    tcase_add_checked_fixture(tcase, make_folder, remove_folder);
    tcase_add_test(tcase, rows_that_are_right_pass_and_extra_columns_do_no_harm);
    tcase_add_test(tcase, a_wrong_row_is_named_with_file_line_and_both_values);
    tcase_add_test(tcase, rows_that_must_be_refused_count_as_passes_when_they_are);
    tcase_add_test(tcase, unknown_names_and_broken_tables_are_failures);
    tcase_add_test(tcase, a_column_that_a_check_needs_must_be_there);
    tcase_add_test(tcase, tables_that_nothing_checks_are_named_and_not_counted);
    tcase_add_test(tcase, wrong_use_ends_with_two);
    tcase_add_test(tcase, other_units_are_found_by_key_symbol_and_words);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
