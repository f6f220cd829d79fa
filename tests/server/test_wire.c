/* The connections' bytes and limits, on socket pairs: no network is needed. */
#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "server/wire.h"
#include "tests/support/suite.h"

#define HEAD "GET / HTTP/1.1\r\nHost: x\r\n\r\n"

static struct sockaddr_storage address_of(const char *text)
{
    struct sockaddr_storage address = {0};
    struct sockaddr_in *four = (struct sockaddr_in *)&address;
    struct sockaddr_in6 *six = (struct sockaddr_in6 *)&address;

    if (inet_pton(AF_INET, text, &four->sin_addr) == 1)
        address.ss_family = AF_INET;
    else if (inet_pton(AF_INET6, text, &six->sin6_addr) == 1)
        address.ss_family = AF_INET6;
    return address;
}

static bool may_open(const char *text)
{
    struct sockaddr_storage address = address_of(text);

    return wire_may_open((struct sockaddr *)&address);
}

/* Our end at [0], the client's at [1]. */
static void open_pair(int *pair, const char *text)
{
    struct sockaddr_storage address = address_of(text);

    ck_assert_int_eq(socketpair(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK, 0, pair), 0);
    wire_open(pair[0], (struct sockaddr *)&address);
}

static void close_pair(const int *pair)
{
    wire_close(pair[0]);
    close(pair[0]);
    close(pair[1]);
}

static void start(void)
{
    const struct wire_limits limits = {.per_address = 3,
                                       .head_ms = 300,
                                       .body_ms = 600,
                                       .idle_ms = 600,
                                       .linger_ms = 300};

    ck_assert(wire_start(&limits));
}

static void stop(void)
{
    wire_stop();
}

static size_t read_client(int fd, char *out, size_t size)
{
    ssize_t got = read(fd, out, size - 1);

    out[got > 0 ? got : 0] = '\0';
    return got > 0 ? (size_t)got : 0;
}

START_TEST(an_address_has_its_share_and_loopback_has_no_limit)
{
    int pairs[5][2];

    for (int i = 0; i < 3; i++) {
        ck_assert(may_open("192.168.1.20"));
        open_pair(pairs[i], "192.168.1.20");
    }
    ck_assert(!may_open("192.168.1.20"));
    ck_assert(may_open("192.168.1.21"));
    ck_assert(may_open("fe80::1"));
    close_pair(pairs[1]);
    ck_assert(may_open("192.168.1.20"));
    open_pair(pairs[1], "fe80::1");
    ck_assert(may_open("192.168.1.20"));
    for (int i = 0; i < 3; i++)
        close_pair(pairs[i]);
    for (int i = 0; i < 5; i++)
        open_pair(pairs[i], i % 2 ? "127.0.0.1" : "::1");
    ck_assert(may_open("127.0.0.1"));
    ck_assert(may_open("127.9.9.9"));
    ck_assert(may_open("::1"));
    for (int i = 0; i < 5; i++)
        close_pair(pairs[i]);
}
END_TEST

START_TEST(clean_bytes_pass_and_are_seen)
{
    char text[100];
    int pair[2];

    open_pair(pair, "127.0.0.1");
    ck_assert(!wire_request_seen(pair[0]));
    ck_assert_int_eq(write(pair[1], HEAD, 10), 10);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), 10);
    ck_assert(!wire_request_seen(pair[0]));
    ck_assert_int_eq(write(pair[1], HEAD + 10, sizeof HEAD - 11), sizeof HEAD - 11);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), sizeof HEAD - 11);
    ck_assert_mem_eq(text, HEAD + 10, sizeof HEAD - 11);
    ck_assert(wire_request_seen(pair[0]));
    wire_answered(pair[0]);
    ck_assert(!wire_request_seen(pair[0]));
    close_pair(pair);
}
END_TEST

START_TEST(bad_bytes_never_pass_and_are_answered_here)
{
    char text[2000];
    int pair[2];

    open_pair(pair, "127.0.0.1");
    ck_assert_int_eq(write(pair[1], "GET / HTTP/1.1\n", 15), 15);
    errno = 0;
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), -1);
    ck_assert_int_eq(errno, EAGAIN);
    ck_assert(!wire_request_seen(pair[0]));
    ck_assert_uint_gt(read_client(pair[1], text, sizeof text), 100);
    ck_assert_ptr_eq(strstr(text, "HTTP/1.1 400 Bad Request\r\n"), text);
    ck_assert_int_eq(read(pair[1], text, 1), 0); /* and nothing more will come */
    /* whatever still comes is thrown away */
    ck_assert_int_eq(write(pair[1], HEAD, sizeof HEAD - 1), sizeof HEAD - 1);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), -1);
    close_pair(pair);
}
END_TEST

START_TEST(a_refusal_waits_for_the_answers_before_it)
{
    static const char both[] = HEAD "nonsense\r\n";
    char text[2000];
    int pair[2];

    open_pair(pair, "127.0.0.1");
    ck_assert_int_eq(write(pair[1], both, sizeof both - 1), sizeof both - 1);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), sizeof HEAD - 1);
    ck_assert_uint_eq(read_client(pair[1], text, sizeof text), 0);
    ck_assert_int_eq(write(pair[0], "answer", 6), 6);
    wire_answered(pair[0]);
    ck_assert_uint_gt(read_client(pair[1], text, sizeof text), 100);
    ck_assert_ptr_eq(strstr(text, "answerHTTP/1.1 400 "), text);
    close_pair(pair);
}
END_TEST

START_TEST(a_body_is_not_read_as_a_head)
{
    static const char both[] = "PUT / HTTP/1.1\r\nHost: x\r\nContent-Length: 9\r\n\r\n"
                               "\n\n\n\r\r\0\x01 !" HEAD;
    char text[200];
    int pair[2];

    open_pair(pair, "127.0.0.1");
    ck_assert_int_eq(write(pair[1], both, sizeof both - 1), sizeof both - 1);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), sizeof both - 1);
    wire_answered(pair[0]);
    ck_assert(wire_request_seen(pair[0]));
    close_pair(pair);
}
END_TEST

START_TEST(late_clients_are_shut_down_and_others_are_not)
{
    int late[2], working[2], silent[2];
    char text[2000];

    open_pair(late, "127.0.0.1");
    open_pair(working, "127.0.0.1");
    open_pair(silent, "127.0.0.1");
    ck_assert_int_eq(write(late[1], HEAD, 5), 5);
    ck_assert_int_eq(recv(late[0], text, sizeof text, 0), 5);
    ck_assert_int_eq(write(working[1], HEAD, sizeof HEAD - 1), sizeof HEAD - 1);
    ck_assert_int_eq(recv(working[0], text, sizeof text, 0), sizeof HEAD - 1);
    wire_working(working[0]);
    usleep(1200000);
    ck_assert_uint_gt(read_client(late[1], text, sizeof text), 100);
    ck_assert_ptr_eq(strstr(text, "HTTP/1.1 408 "), text);
    ck_assert_int_eq(read(silent[1], text, 1), 0);
    ck_assert_int_eq(read(working[1], text, 1), -1);
    ck_assert_int_eq(errno, EAGAIN);
    wire_answer_due(working[0], 100);
    usleep(700000);
    ck_assert_int_eq(read(working[1], text, 1), 0);
    close_pair(late);
    close_pair(working);
    close_pair(silent);
}
END_TEST

START_TEST(other_sockets_are_left_alone)
{
    char text[100];
    int pair[2];

    ck_assert_int_eq(socketpair(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK, 0, pair), 0);
    ck_assert_int_eq(write(pair[1], "\n\0bad", 5), 5);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, MSG_PEEK), 5);
    ck_assert_int_eq(recv(pair[0], text, sizeof text, 0), 5);
    wire_close(pair[0]);
    wire_answered(pair[0]);
    wire_working(-1);
    ck_assert(!wire_request_seen(100000));
    close(pair[0]);
    close(pair[1]);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("wire");

    tcase_add_checked_fixture(tcase, start, stop);
    tcase_add_test(tcase, an_address_has_its_share_and_loopback_has_no_limit);
    tcase_add_test(tcase, clean_bytes_pass_and_are_seen);
    tcase_add_test(tcase, bad_bytes_never_pass_and_are_answered_here);
    tcase_add_test(tcase, a_refusal_waits_for_the_answers_before_it);
    tcase_add_test(tcase, a_body_is_not_read_as_a_head);
    tcase_add_test(tcase, late_clients_are_shut_down_and_others_are_not);
    tcase_add_test(tcase, other_sockets_are_left_alone);
    return suite_run("wire", tcase);
}
