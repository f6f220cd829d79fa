/* The strict reader of request heads. Sources: RFC 9112 sections 2.2, 3, 5, 6, 11.2. */
#include <stdio.h>
#include <string.h>

#include "server/head.h"
#include "tests/support/suite.h"

#define HOST "Host: x\r\n"
#define TEXT(literal) literal, sizeof literal - 1

static const struct {
    const char *text;
    size_t length;
    int status; /* 0: taken whole */
    uint64_t content_length;
} cases[] = {
    {TEXT("GET / HTTP/1.1\r\n" HOST "\r\n"), 0, 0},
    {TEXT("GET / HTTP/1.0\r\n" HOST "\r\n"), 0, 0},
    {TEXT("OPTIONS * HTTP/1.1\r\n" HOST "\r\n"), 0, 0},
    {TEXT("M-SEARCH /a?b=c%20d HTTP/1.1\r\n" HOST "\r\n"), 0, 0},
    {TEXT("GET / HTTP/1.1\r\nhost:x\r\nA:\r\nB: \t c d \t\r\n\r\n"), 0, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "A: \xe9\xff\r\n\r\n"), 0, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: 12\r\n\r\n"), 0, 12},
    {TEXT("POST / HTTP/1.1\r\n" HOST "CONTENT-LENGTH:\t 007 \r\n\r\n"), 0, 7},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Lengthy: 9\r\n\r\n"), 0, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: 999999999999\r\n\r\n"), 0,
     999999999999},

    {TEXT("GET / HTTP/1.1\n"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "\n"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\nHost: x\n"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\nHost: x\rA"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "\r\r"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n\r\n"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "HOST:"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "A "), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "A: b\r\n "), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST ":"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "A: b\0"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "A\0"), 400, 0},
    {TEXT("GET / HTTP/1.1\r\n" HOST "A: \x7f"), 400, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: 1\r\nContent-Length:"), 400, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: 1 2"), 400, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: -"), 400, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: 1,"), 400, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: \r"), 400, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Content-Length: 9999999999999"), 413, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST "Transfer-Encoding: chunked\r\n\r\n"), 411, 0},
    {TEXT("POST / HTTP/1.1\r\n" HOST
          "Transfer-Encoding: x\r\nContent-Length: 1\r\n\r\n"),
     400, 0},
    {TEXT(" "), 400, 0},
    {TEXT("\r"), 400, 0},
    {TEXT("\x16"), 400, 0},
    {TEXT("GET  "), 400, 0},
    {TEXT("GET h"), 400, 0},
    {TEXT("GET /\t"), 400, 0},
    {TEXT("GET /\x80"), 400, 0},
    {TEXT("GET / HTTP/1.1 "), 400, 0},
    {TEXT("GET / \r"), 400, 0},
    {TEXT("GET / http/1.1\r"), 400, 0},
    {TEXT("GET / HTTP/1.2\r"), 505, 0},
    {TEXT("GET / HTTP/2.0\r"), 505, 0},
};

#define CASES ((int)(sizeof cases / sizeof cases[0]))

START_TEST(head_feed_takes_or_refuses_at_the_last_byte)
{
    struct head head = {0};
    size_t taken = head_feed(&head, cases[_i].text, cases[_i].length);

    ck_assert_uint_eq(taken, cases[_i].length);
    ck_assert_int_eq(head.state, cases[_i].status == 0 ? HEAD_DONE : HEAD_REFUSED);
    ck_assert_int_eq(head.status, cases[_i].status);
    ck_assert((head.code != NULL) == (cases[_i].status != 0));
    if (cases[_i].status == 0)
        ck_assert_uint_eq(head.content_length, cases[_i].content_length);
}
END_TEST

START_TEST(head_feed_says_the_same_in_pieces_of_one_byte)
{
    struct head head = {0};

    for (size_t i = 0; i < cases[_i].length; i++) {
        ck_assert_int_lt(head.state, HEAD_DONE);
        ck_assert_uint_eq(head_feed(&head, cases[_i].text + i, 1), 1);
    }
    ck_assert_int_eq(head.state, cases[_i].status == 0 ? HEAD_DONE : HEAD_REFUSED);
    ck_assert_int_eq(head.status, cases[_i].status);
}
END_TEST

START_TEST(head_feed_stops_after_the_head)
{
    static const char text[] =
        "POST / HTTP/1.1\r\n" HOST "Content-Length: 4\r\n\r\nbody";
    struct head head = {0};

    ck_assert_uint_eq(head_feed(&head, text, sizeof text - 1), sizeof text - 1 - 4);
    ck_assert_int_eq(head.state, HEAD_DONE);
    ck_assert_uint_eq(head_feed(&head, "more", 4), 0);
}
END_TEST

static struct head feed_sized(size_t target, size_t value, int fields)
{
    static char text[40000];
    struct head head = {0};
    size_t used = 0;

    used += (size_t)snprintf(text, sizeof text, "GET /%0*d HTTP/1.1\r\n" HOST,
                             (int)target - 1, 0);
    for (int i = 0; i < fields; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "A: b\r\n");
    used += (size_t)snprintf(text + used, sizeof text - used, "V: %0*d\r\n\r\n",
                             (int)value, 0);
    ck_assert_uint_lt(used, sizeof text);
    head_feed(&head, text, used);
    return head;
}

START_TEST(head_feed_limits_target_fields_and_bytes)
{
    ck_assert_int_eq(feed_sized(2048, 1, 0).state, HEAD_DONE);
    ck_assert_int_eq(feed_sized(2049, 1, 0).status, 414);
    ck_assert_int_eq(feed_sized(2, 1, 62).state, HEAD_DONE);
    ck_assert_int_eq(feed_sized(2, 1, 63).status, 431);
    /* the rest of that head: 17 bytes of request line, 9 of Host, 7 around the value */
    ck_assert_int_eq(feed_sized(2, 16384 - 33, 0).state, HEAD_DONE);
    ck_assert_int_eq(feed_sized(2, 16384 - 32, 0).status, 431);
}
END_TEST

START_TEST(head_is_open_between_first_and_last_byte)
{
    static const char text[] = "GET / HTTP/1.1\r\n" HOST "\r\n";
    struct head head = {0};

    ck_assert(!head_is_open(&head));
    head_feed(&head, text, 1);
    ck_assert(head_is_open(&head));
    head_feed(&head, text + 1, sizeof text - 2);
    ck_assert(!head_is_open(&head));
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("head");

    tcase_add_loop_test(tcase, head_feed_takes_or_refuses_at_the_last_byte, 0, CASES);
    tcase_add_loop_test(tcase, head_feed_says_the_same_in_pieces_of_one_byte, 0, CASES);
    tcase_add_test(tcase, head_feed_stops_after_the_head);
    tcase_add_test(tcase, head_feed_limits_target_fields_and_bytes);
    tcase_add_test(tcase, head_is_open_between_first_and_last_byte);
    return suite_run("head", tcase);
}
