/* Datagrams to the service manager; the protocol is that of sd_notify(3). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include "server/notify.h"
#include "server/writer.h"
#include "tests/support/suite.h"

static int manager = -1;
static struct app app;

/* A manager that listens on a name of the kernel's. */
static void listen_as_manager(void)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    struct timeval patience = {5, 0};
    char name[64];

    snprintf(name, sizeof name, "@coilkeep-test-%d", (int)getpid());
    memcpy(address.sun_path, name, strlen(name));
    address.sun_path[0] = '\0';
    manager = socket(AF_UNIX, SOCK_DGRAM, 0);
    ck_assert_int_eq(bind(manager, (struct sockaddr *)&address,
                          (socklen_t)(offsetof(struct sockaddr_un, sun_path) +
                                      strlen(name))),
                     0);
    setsockopt(manager, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    setenv("NOTIFY_SOCKET", name, 1);
}

static void stop_listening(void)
{
    close(manager);
    unsetenv("NOTIFY_SOCKET");
    unsetenv("WATCHDOG_USEC");
    unsetenv("WATCHDOG_PID");
}

static const char *heard(void)
{
    static char text[100];
    ssize_t got = recv(manager, text, sizeof text - 1, 0);

    text[got > 0 ? got : 0] = '\0';
    return text;
}

START_TEST(a_state_arrives_whole)
{
    ck_assert(notify_send("READY=1"));
    ck_assert_str_eq(heard(), "READY=1");
}
END_TEST

START_TEST(without_a_manager_nothing_is_said)
{
    unsetenv("NOTIFY_SOCKET");
    ck_assert(!notify_send("READY=1"));
    setenv("NOTIFY_SOCKET", "relative", 1);
    ck_assert(!notify_send("READY=1"));
    setenv("NOTIFY_SOCKET", "/nobody/listens", 1);
    ck_assert(!notify_send("READY=1"));
}
END_TEST

START_TEST(the_watchdog_is_told_twice_in_its_time)
{
    char pid[32];

    unsetenv("WATCHDOG_USEC");
    ck_assert_int_eq(notify_watchdog_ms(), 0);
    setenv("WATCHDOG_USEC", "30000000", 1);
    ck_assert_int_eq(notify_watchdog_ms(), 15000);
    setenv("WATCHDOG_PID", "1", 1);
    ck_assert_int_eq(notify_watchdog_ms(), 0);
    snprintf(pid, sizeof pid, "%d", (int)getpid());
    setenv("WATCHDOG_PID", pid, 1);
    ck_assert_int_eq(notify_watchdog_ms(), 15000);
    setenv("WATCHDOG_USEC", "rubbish", 1);
    ck_assert_int_eq(notify_watchdog_ms(), 0);
}
END_TEST

START_TEST(an_idle_writer_that_can_commit_says_so_again_and_again)
{
    struct db *db = NULL;
    struct writer *writer;

    setenv("WATCHDOG_USEC", "100000", 1);
    ck_assert_int_eq(db_open(":memory:", DB_READ_WRITE, &db), DB_OK);
    writer = writer_create(&app, db);
    for (int i = 0; i < 3; i++)
        ck_assert_str_eq(heard(), "WATCHDOG=1");
    ck_assert(writer_stop(writer, 2000));
    writer_destroy(writer);
    db_close(db);
}
END_TEST

START_TEST(a_writer_that_cannot_commit_is_silent)
{
    struct timeval patience = {0, 400000};
    struct db *db = NULL;
    struct writer *writer;

    setenv("WATCHDOG_USEC", "100000", 1);
    ck_assert_int_eq(db_open(":memory:", DB_READ_WRITE, &db), DB_OK);
    ck_assert_int_eq(db_begin(db), DB_OK); /* a transaction that never ends */
    setsockopt(manager, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    writer = writer_create(&app, db);
    ck_assert_str_eq(heard(), "");
    ck_assert(writer_stop(writer, 2000));
    writer_destroy(writer);
    db_close(db);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("notify");

    tcase_add_checked_fixture(tcase, listen_as_manager, stop_listening);
    tcase_add_test(tcase, a_state_arrives_whole);
    tcase_add_test(tcase, without_a_manager_nothing_is_said);
    tcase_add_test(tcase, the_watchdog_is_told_twice_in_its_time);
    tcase_add_test(tcase, an_idle_writer_that_can_commit_says_so_again_and_again);
    tcase_add_test(tcase, a_writer_that_cannot_commit_is_silent);
    return suite_run("notify", tcase);
}
