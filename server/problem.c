#include "problem.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "utf8.h"

/* Text that grows; once memory ran out text stays NULL and adding does nothing. */
struct text {
    char *bytes;
    size_t used, size;
    bool failed;
};

static void add_bytes(struct text *text, const char *bytes, size_t length)
{
    if (text->failed)
        return;
    if (text->used + length + 1 > text->size) {
        size_t size = (text->used + length + 1) * 2;
        char *bigger = realloc(text->bytes, size);

        if (bigger == NULL) {
            text->failed = true;
            return;
        }
        text->bytes = bigger;
        text->size = size;
    }
    memcpy(text->bytes + text->used, bytes, length);
    text->used += length;
    text->bytes[text->used] = '\0';
}

static void add_text(struct text *text, const char *words)
{
    add_bytes(text, words, strlen(words));
}

/* A JSON string. Malformed UTF-8 becomes "?", so that the answer always parses. */
static void add_string(struct text *text, const char *words)
{
    size_t length = strlen(words);
    size_t step;

    add_text(text, "\"");
    for (size_t at = 0; at < length; at += step) {
        unsigned char byte = (unsigned char)words[at];
        char escaped[8];

        step = utf8_step(words + at, length - at);
        if (step == 0) {
            step = 1;
            add_text(text, "?");
        } else if (byte == '"' || byte == '\\') {
            snprintf(escaped, sizeof escaped, "\\%c", byte);
            add_text(text, escaped);
        } else if (byte < 0x20) {
            snprintf(escaped, sizeof escaped, "\\u%04x", byte);
            add_text(text, escaped);
        } else {
            add_bytes(text, words + at, step);
        }
    }
    add_text(text, "\"");
}

static void add_fault(struct text *text, const struct problem_fault *fault)
{
    add_text(text, "\"code\":");
    add_string(text, fault->code);
    add_text(text, ",\"field\":");
    add_string(text, fault->field);
    add_text(text, ",\"detail\":");
    add_string(text, fault->detail);
}

/* Reason phrases of RFC 9110 section 15, RFC 6585 and RFC 4918 (507). */
const char *problem_title(int status)
{
    static const struct {
        int status;
        const char *title;
    } titles[] = {
        {400, "Bad Request"},
        {401, "Unauthorized"},
        {403, "Forbidden"},
        {404, "Not Found"},
        {405, "Method Not Allowed"},
        {408, "Request Timeout"},
        {409, "Conflict"},
        {411, "Length Required"},
        {412, "Precondition Failed"},
        {413, "Content Too Large"},
        {414, "URI Too Long"},
        {415, "Unsupported Media Type"},
        {421, "Misdirected Request"},
        {422, "Unprocessable Content"},
        {428, "Precondition Required"},
        {429, "Too Many Requests"},
        {431, "Request Header Fields Too Large"},
        {500, "Internal Server Error"},
        {501, "Not Implemented"},
        {503, "Service Unavailable"},
        {505, "HTTP Version Not Supported"},
        {507, "Insufficient Storage"},
    };

    for (size_t i = 0; i < sizeof titles / sizeof titles[0]; i++)
        if (titles[i].status == status)
            return titles[i].title;
    return "Refused";
}

void problem_init(struct problem *problem)
{
    memset(problem, 0, sizeof *problem);
    problem->status = 422;
}

static void add_formatted(struct problem *problem, const char *code, const char *field,
                          const char *format, va_list values)
{
    struct problem_fault *fault;

    if (problem->count >= PROBLEM_FAULTS_MAX) {
        problem->count++;
        return;
    }
    fault = &problem->faults[problem->count++];
    fault->code = code;
    snprintf(fault->field, sizeof fault->field, "%s", field ? field : "");
    utf8_trim_end(fault->field);
    vsnprintf(fault->detail, sizeof fault->detail, format, values);
    utf8_trim_end(fault->detail);
}

void problem_add(struct problem *problem, const char *code, const char *field,
                 const char *format, ...)
{
    va_list values;

    va_start(values, format);
    add_formatted(problem, code, field, format, values);
    va_end(values);
}

static void add_errors(struct text *text, const struct problem *problem)
{
    size_t kept =
        problem->count < PROBLEM_FAULTS_MAX ? problem->count : PROBLEM_FAULTS_MAX;

    add_text(text, ",\"errors\":[");
    for (size_t i = 0; i < kept; i++) {
        add_text(text, i ? ",{" : "{");
        add_fault(text, &problem->faults[i]);
        add_text(text, "}");
    }
    add_text(text, "]");
}

char *problem_text(const struct problem *problem)
{
    struct text text = {0};
    char status[16];

    add_text(&text, "{\"type\":\"");
    add_text(&text, problem->count ? "/problems/" : "about:blank");
    add_text(&text, problem->count ? problem->faults[0].code : "");
    add_text(&text, "\",\"title\":");
    add_string(&text, problem_title(problem->status));
    snprintf(status, sizeof status, "%d", problem->status);
    add_text(&text, ",\"status\":");
    add_text(&text, status);
    if (problem->count > 0) {
        add_text(&text, ",");
        add_fault(&text, &problem->faults[0]);
        add_errors(&text, problem);
    }
    if (problem->extra_json[0] != '\0') {
        add_text(&text, ",");
        add_text(&text, problem->extra_json);
    }
    add_text(&text, "}");
    if (text.failed) {
        free(text.bytes);
        return NULL;
    }
    return text.bytes;
}

void reply_problem(struct reply *out, const struct problem *problem)
{
    reply_json(out, problem->status, problem_text(problem));
    out->content_type = "application/problem+json";
    out->etag[0] = '\0';
    out->location[0] = '\0';
    out->encoding = NULL;
    out->cache_control = NULL;
}

void reply_refuse(struct reply *out, int status, const char *code, const char *field,
                  const char *format, ...)
{
    struct problem problem;
    va_list values;

    problem_init(&problem);
    problem.status = status;
    va_start(values, format);
    add_formatted(&problem, code, field, format, values);
    va_end(values);
    reply_problem(out, &problem);
}
