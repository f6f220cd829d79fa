/* Options, the log, the clock, uploads and the state folder. */
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "server/body.h"
#include "server/clock.h"
#include "server/config.h"
#include "server/log.h"
#include "server/state_dir.h"
#include "server/utf8.h"
#include "tests/support/suite.h"

static struct config config;
static char fault[200];

static bool read_options(const char *first, const char *second)
{
    char *argv[] = {(char *)"coilkeepd", (char *)(uintptr_t)first,
                    (char *)(uintptr_t)second, NULL};
    int argc = first == NULL ? 1 : second == NULL ? 2 : 3;

    fault[0] = '\0';
    return config_read(argc, argv, "/home/dana", NULL, &config, fault);
}

START_TEST(config_has_defaults)
{
    ck_assert(read_options(NULL, NULL));
    ck_assert_uint_eq(config.port, 8425);
    ck_assert_str_eq(config.bind, "127.0.0.1");
    ck_assert_str_eq(config.data, "/home/dana/.local/state/coilkeep");
    ck_assert_uint_eq(config.connections, 256);
    ck_assert_uint_eq(config.connections_per_address, 32);
    ck_assert(!config.demo && !config.help && !config.version);
    ck_assert_str_eq(config.web_root, "");
    ck_assert_str_eq(config.test_clock, "");
}
END_TEST

START_TEST(config_reads_options_in_both_forms)
{
    ck_assert(read_options("--port", "0"));
    ck_assert_uint_eq(config.port, 0);
    ck_assert(read_options("--port=65535", NULL));
    ck_assert_uint_eq(config.port, 65535);
    ck_assert(read_options("--data", "here"));
    ck_assert_str_eq(config.data, "here");
    ck_assert(read_options("--bind=::1", "--demo"));
    ck_assert_str_eq(config.bind, "::1");
    ck_assert(config.demo);
    ck_assert(read_options("--bind=127.9.9.9", NULL));
    ck_assert(read_options("--bind=0.0.0.0", NULL)); /* the door asks for an owner */
}
END_TEST

START_TEST(config_refuses_with_the_options_name)
{
    static const char *const bad[][2] = {
        {"--port", NULL},        {"--port=", NULL},      {"--port", "65536"},
        {"--port", "1x"},        {"--port", " 1"},       {"--port", "+1"},
        {"--bind", "localhost"}, {"--bind", "0.0.0"},
        {"--data", ""},          {"--demo=1", NULL},     {"--dem", NULL},
        {"demo", NULL},          {"--connections", "0"}, {"--connections", "99999"},
    };
    char name[32];

    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        ck_assert_msg(!read_options(bad[i][0], bad[i][1]), "%s", bad[i][0]);
        snprintf(name, sizeof name, "%.*s", (int)strcspn(bad[i][0], "="), bad[i][0]);
        ck_assert_msg(strstr(fault, name) != NULL, "%s", fault);
    }
}
END_TEST

START_TEST(config_finds_the_data_folder)
{
    char *argv[] = {(char *)"coilkeepd", NULL};

    ck_assert(config_read(1, argv, "/home/dana", "/state", &config, fault));
    ck_assert_str_eq(config.data, "/state/coilkeep");
    ck_assert(config_read(1, argv, "/home/dana", "relative", &config, fault));
    ck_assert_str_eq(config.data, "/home/dana/.local/state/coilkeep");
    ck_assert(!config_read(1, argv, NULL, NULL, &config, fault));
    ck_assert(!config_read(1, argv, "", "", &config, fault));
}
END_TEST

/* ---- log ---- */

START_TEST(log_line_stays_one_line_whatever_it_holds)
{
    char path[] = "/tmp/coilkeep-log-XXXXXX";
    char text[2000] = "";
    int file = mkstemp(path);
    int saved = dup(STDERR_FILENO);

    ck_assert_int_ge(file, 0);
    dup2(file, STDERR_FILENO);
    log_line(LOG_LEVEL_WARNING, "test", "a%sb", "\r\nerror x: forged\x1b[31m\\n");
    log_line(LOG_LEVEL_INFO, "test", "%0600d", 7);
    dup2(saved, STDERR_FILENO);
    ck_assert_int_gt(pread(file, text, sizeof text - 1, 0), 0);
    ck_assert_ptr_eq(
        strstr(text, "warning test: a\\x0d\\x0aerror x: forged\\x1b[31m\\x5cnb\n"),
        text);
    ck_assert_ptr_nonnull(strstr(text, "\ninfo test: 0000"));
    ck_assert_int_eq(text[strlen(text) - 1], '\n');
    close(file);
    close(saved);
    unlink(path);
}
END_TEST

/* ---- clock ---- */

START_TEST(clock_wall_follows_the_test_file)
{
    char path[] = "/tmp/coilkeep-clock-XXXXXX";
    int file = mkstemp(path);
    const struct clock plain = {NULL};
    const struct clock moved = {path};
    int64_t now_s = clock_wall_s(&plain);

    ck_assert_int_ge(file, 0);
    ck_assert_int_eq(pwrite(file, "-86400\n", 7, 0), 7);
    ck_assert_int_le(llabs(clock_wall_s(&moved) - (now_s - 86400)), 2);
    ck_assert_int_eq(pwrite(file, "3600x\n\n", 7, 0), 7);
    ck_assert_int_le(llabs(clock_wall_s(&moved) - now_s), 2);
    unlink(path);
    ck_assert_int_le(llabs(clock_wall_s(&moved) - now_s), 2);
    close(file);
}
END_TEST

START_TEST(clock_boot_does_not_follow_the_test_file)
{
    const struct clock plain = {NULL};
    int64_t first_ms = clock_boot_ms(&plain);

    usleep(20000);
    ck_assert_int_ge(clock_boot_ms(&plain) - first_ms, 19);
    ck_assert_int_le(clock_boot_ms(&plain) - first_ms, 5000);
}
END_TEST

/* ---- uploads ---- */

static void add_pieces(struct body *body, size_t total)
{
    char piece[1000];

    for (size_t i = 0; i < sizeof piece; i++)
        piece[i] = (char)('a' + i % 26);
    for (size_t sent = 0; sent < total; sent += sizeof piece)
        body_add(body, piece,
                 total - sent < sizeof piece ? total - sent : sizeof piece);
}

START_TEST(body_keeps_what_came_in_memory_and_on_disk)
{
    static const char *const folders[] = {NULL, "/tmp"};

    for (size_t i = 0; i < 2; i++) {
        struct body body;
        const uint8_t *bytes;

        body_open(&body, 100000, folders[i]);
        add_pieces(&body, 99999);
        ck_assert_int_eq(body.status, BODY_OK);
        ck_assert_uint_eq(body.length, 99999);
        bytes = body_bytes(&body);
        ck_assert_int_eq(bytes[0], 'a');
        ck_assert_int_eq(bytes[1025], 'a' + 25);
        ck_assert_int_eq(bytes[99998], 'a' + 998 % 26);
        ck_assert_ptr_eq(body_bytes(&body), bytes);
        body_close(&body);
    }
}
END_TEST

START_TEST(body_refuses_the_first_byte_too_many)
{
    struct body body;

    body_open(&body, 1000, NULL);
    add_pieces(&body, 1000);
    ck_assert_int_eq(body.status, BODY_OK);
    body_add(&body, "x", 1);
    ck_assert_int_eq(body.status, BODY_TOO_LARGE);
    body_add(&body, "x", 1);
    ck_assert_uint_eq(body.length, 1000);
    body_close(&body);
    body_close(&body);
}
END_TEST

START_TEST(body_may_be_empty)
{
    struct body body;

    body_open(&body, 1000, "/tmp");
    ck_assert_ptr_nonnull(body_bytes(&body));
    ck_assert_uint_eq(body.length, 0);
    body_close(&body);
}
END_TEST

START_TEST(body_says_that_a_folder_is_missing)
{
    struct body body;

    body_open(&body, 1000, "/nonexistent");
    ck_assert_int_eq(body.status, BODY_FAILED);
    body_add(&body, "x", 1);
    body_close(&body);
}
END_TEST

/* ---- state folder ---- */

START_TEST(state_dir_is_made_closed_and_locked_once)
{
    char base[] = "/tmp/coilkeep-state-XXXXXX";
    char wanted[PATH_MAX], path[512], other[512];
    struct stat info;
    int first = -1, second = -1;

    ck_assert_ptr_nonnull(mkdtemp(base));
    snprintf(wanted, sizeof wanted, "%s/a/../a/b/", base);
    ck_assert_int_eq(state_dir_open(wanted, path, sizeof path, &first), STATE_DIR_OK);
    snprintf(wanted, sizeof wanted, "%s/a/b", base);
    ck_assert_str_eq(path, wanted);
    ck_assert_int_eq(stat(path, &info), 0);
    ck_assert_int_eq(info.st_mode & 0777, 0700);
    ck_assert_int_eq(state_dir_open(path, other, sizeof other, &second),
                     STATE_DIR_TAKEN);
    ck_assert_str_eq(other, path);
    close(first);
    ck_assert_int_eq(state_dir_open(path, other, sizeof other, &second), STATE_DIR_OK);
    close(second);
    ck_assert_int_eq(state_dir_open(path, other, 4, &second), STATE_DIR_TOO_LONG);
    snprintf(wanted, sizeof wanted, "rm -r %s", base);
    ck_assert_int_eq(system(wanted), 0);
}
END_TEST

/* ---- UTF-8 ---- */

START_TEST(utf8_trim_end_takes_half_characters_away)
{
    char text[16];

    strcpy(text, "a\xc3\xa9");
    utf8_trim_end(text);
    ck_assert_str_eq(text, "a\xc3\xa9");
    strcpy(text, "a\xc3");
    utf8_trim_end(text);
    ck_assert_str_eq(text, "a");
    strcpy(text, "a\xf0\x9f\x98");
    utf8_trim_end(text);
    ck_assert_str_eq(text, "a");
    strcpy(text, "a\xf0\x9f\x98\x80");
    utf8_trim_end(text);
    ck_assert_str_eq(text, "a\xf0\x9f\x98\x80");
    strcpy(text, "");
    utf8_trim_end(text);
    ck_assert_str_eq(text, "");
}
END_TEST

static const char *line_fault(const char *text)
{
    char line[200];

    fault[0] = '\0';
    snprintf(line, sizeof line, "%s", text);
    ck_assert_int_eq(config_set_line(&config, line, fault), fault[0] == '\0');
    return fault;
}

START_TEST(config_lines_are_key_and_value)
{
    ck_assert(read_options(NULL, NULL));
    ck_assert_str_eq(line_fault(""), "");
    ck_assert_str_eq(line_fault("  # port = 1"), "");
    ck_assert_str_eq(line_fault(" port=8000 \r\n"), "");
    ck_assert_uint_eq(config.port, 8000);
    ck_assert_str_eq(line_fault("data = /srv/my pool"), "");
    ck_assert_str_eq(config.data, "/srv/my pool");
    ck_assert_str_eq(line_fault("demo = yes"), "");
    ck_assert(config.demo);
    ck_assert_str_eq(line_fault("demo = no"), "");
    ck_assert(!config.demo);
    ck_assert_str_eq(line_fault("name = pool.example"), "");
    ck_assert_str_eq(line_fault("name = box.example:8443"), "");
    ck_assert_str_eq(config.names[0], "pool.example");
    ck_assert_str_eq(config.names[1], "box.example:8443");
    ck_assert_str_eq(line_fault("trusted-proxy = ::1"), "");
    ck_assert_str_eq(config.proxies[0], "::1");
}
END_TEST

START_TEST(config_lines_that_do_not_fit_are_refused)
{
    static const char *const lines[] = {
        "port", "port = ", "port = 70000", "demo = 1", "colour = red", "= 3",
        "--port = 1", "help = yes", "to = /tmp/x", "dry-run = yes", "config = other",
        "name = ", "name = a b", "name = -a", "name = a.", "name = .a", "name = a:0",
        "name = a:70000", "name = user@a", "name = http://a", "trusted-proxy = box",
        "trusted-proxy = 10.0.0.0/8", "port = 1 # one"};

    ck_assert(read_options(NULL, NULL));
    ck_assert_str_ne(line_fault(lines[_i]), "");
}
END_TEST

START_TEST(config_lists_have_an_end)
{
    ck_assert(read_options(NULL, NULL));
    for (int i = 0; i < CONFIG_LIST_MAX; i++)
        ck_assert_str_eq(line_fault("name = a"), "");
    ck_assert_str_ne(line_fault("name = a"), "");
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("config");

    tcase_add_test(tcase, config_has_defaults);
    tcase_add_test(tcase, config_reads_options_in_both_forms);
    tcase_add_test(tcase, config_refuses_with_the_options_name);
    tcase_add_test(tcase, config_finds_the_data_folder);
    tcase_add_test(tcase, config_lines_are_key_and_value);
    tcase_add_loop_test(tcase, config_lines_that_do_not_fit_are_refused, 0, 23);
    tcase_add_test(tcase, config_lists_have_an_end);
    tcase_add_test(tcase, log_line_stays_one_line_whatever_it_holds);
    tcase_add_test(tcase, clock_wall_follows_the_test_file);
    tcase_add_test(tcase, clock_boot_does_not_follow_the_test_file);
    tcase_add_test(tcase, body_keeps_what_came_in_memory_and_on_disk);
    tcase_add_test(tcase, body_refuses_the_first_byte_too_many);
    tcase_add_test(tcase, body_may_be_empty);
    tcase_add_test(tcase, body_says_that_a_folder_is_missing);
    tcase_add_test(tcase, state_dir_is_made_closed_and_locked_once);
    tcase_add_test(tcase, utf8_trim_end_takes_half_characters_away);
    return suite_run("config", tcase);
}
