/*
 * Refusals as RFC 9457 application/problem+json.
 *
 * A problem collects several faults of one form, so that a person hears of all of them
 * at once: {"type","title","status","detail","code","field","errors":[{"code","field",
 * "detail"}]}. code and field at the top repeat the first fault. "type" is
 * "/problems/CODE" (a stable identifier, listed in docs/api.md).
 */
#ifndef PROBLEM_H
#define PROBLEM_H

#include <stdarg.h>

#include "exchange.h"

#define PROBLEM_FAULTS_MAX 32

struct problem_fault {
    const char *code; /* static: one of docs/api.md's codes */
    char field[64];   /* JSON member = form control's name; "" for none */
    char detail[200];
};

struct problem {
    int status; /* 422 unless said otherwise */
    struct problem_fault faults[PROBLEM_FAULTS_MAX];
    size_t count;          /* also counts faults past the maximum */
    char extra_json[2560]; /* members to add, e.g. "\"choices\":[…]"; "" for none */
};

void problem_init(struct problem *problem); /* status 422, no faults */
void problem_add(struct problem *problem, const char *code, const char *field,
                 const char *format, ...) __attribute__((format(printf, 4, 5)));

const char *problem_title(int status); /* reason phrase of an HTTP status */
/* Gives the JSON text (free releases it), NULL without memory. */
char *problem_text(const struct problem *problem);

/* Writes the problem as the reply; with no fault in it a bare status. */
void reply_problem(struct reply *out, const struct problem *problem);

/* One fault, sent at once. field may be NULL. */
void reply_refuse(struct reply *out, int status, const char *code, const char *field,
                  const char *format, ...) __attribute__((format(printf, 5, 6)));

#endif
