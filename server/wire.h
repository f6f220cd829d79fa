/*
 * The bytes of the HTTP connections: every byte that the HTTP library reads passes here
 * first (head.h), and every connection has a due time.
 *
 * How it is done: the library reads its sockets with recv(), which it takes from the
 * program like any dynamic symbol. wire.c defines recv(), hands bytes of registered
 * sockets through the strict reader, and gives the library only what is well formed.
 * What is not gets its answer from here and never reaches the library. http.c refuses
 * to answer when wire_request_seen() is false, so that a library which reads by another
 * way leads to errors, not to lenience.
 *
 * Knows sockets and nothing of routes. One table for the process, since recv() has no
 * other context; guarded by a mutex.
 */
#ifndef WIRE_H
#define WIRE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/socket.h>

struct wire_limits {
    unsigned per_address; /* connections from one address; loopback has no limit */
    int64_t head_ms; /* from a head's first byte to its last, also to that byte on a
                        new connection */
    int64_t body_ms;
    int64_t idle_ms;   /* between two requests */
    int64_t linger_ms; /* after a refusal, for the client to read it */
};

/* Starts the thread that shuts late connections down. False when it cannot. */
bool wire_start(const struct wire_limits *limits);
void wire_stop(void);

/* False when the address has its share of connections. */
bool wire_may_open(const struct sockaddr *address);
void wire_open(int fd, const struct sockaddr *address);
void wire_close(int fd);

/* True when the request that is being handled passed the strict reader. */
bool wire_request_seen(int fd);
/* The handler works: no deadline. */
void wire_working(int fd);
/* The body may take this long in all. */
void wire_body_due(int fd, int64_t duration_ms);
/* The answer may take this long to go out. */
void wire_answer_due(int fd, int64_t duration_ms);
/* The answer is out. */
void wire_answered(int fd);
/* Answers from here, takes nothing more, and closes after a while. */
void wire_refuse(int fd, int status, const char *code, const char *detail);

#endif
