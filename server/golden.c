#include "golden.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "problem.h"

/* Content-Security-Policy: only our own files, no inline script or style, no frames.
 * Referrer-Policy same-origin, since no-referrer makes browsers send "Origin: null"
 * with our own changes. Cache-Control stands apart: it differs between assets and API.
 */
const struct golden_header golden_headers[] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
     "connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; "
     "frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "same-origin"},
    {NULL, NULL},
};

/* "Sun, 06 Nov 1994 08:49:37 GMT" (RFC 9110 section 5.6.7), whatever the locale. */
static void write_date(int64_t now_s, char *out, size_t size)
{
    static const char days[] = "SunMonTueWedThuFriSat";
    static const char months[] = "JanFebMarAprMayJunJulAugSepOctNovDec";
    time_t seconds = (time_t)now_s;
    struct tm civil = {0};

    gmtime_r(&seconds, &civil);
    snprintf(out, size, "%.3s, %02d %.3s %d %02d:%02d:%02d GMT",
             days + civil.tm_wday * 3, civil.tm_mday, months + civil.tm_mon * 3,
             civil.tm_year + 1900, civil.tm_hour, civil.tm_min, civil.tm_sec);
}

char *golden_refusal(int status, const char *code, const char *detail, int64_t now_s,
                     size_t *out_length)
{
    struct problem problem;
    char *body = NULL;
    char *text = NULL;
    char date[64];
    FILE *stream;

    problem_init(&problem);
    problem.status = status;
    problem_add(&problem, code, "", "%s", detail);
    body = problem_text(&problem);
    stream = body == NULL ? NULL : open_memstream(&text, out_length);
    if (stream == NULL) {
        free(body);
        return NULL;
    }
    write_date(now_s, date, sizeof date);
    fprintf(stream,
            "HTTP/1.1 %d %s\r\nDate: %s\r\nConnection: close\r\n"
            "Content-Type: application/problem+json\r\nCache-Control: no-store\r\n",
            status, problem_title(status), date);
    for (size_t i = 0; golden_headers[i].name != NULL; i++)
        fprintf(stream, "%s: %s\r\n", golden_headers[i].name, golden_headers[i].value);
    fprintf(stream, "Content-Length: %zu\r\n\r\n%s", strlen(body), body);
    free(body);
    if (fclose(stream) != 0) {
        free(text);
        return NULL;
    }
    return text;
}
