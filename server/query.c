#include "query.h"

#include <string.h>

#include "utf8.h"

static int hex_digit(char byte)
{
    if (byte >= '0' && byte <= '9')
        return byte - '0';
    if (byte >= 'a' && byte <= 'f')
        return byte - 'a' + 10;
    return byte >= 'A' && byte <= 'F' ? byte - 'A' + 10 : -1;
}

/* Decodes "+" and "%XX" in place; false when an escape is broken, or when the text then
 * holds a control byte or malformed UTF-8. */
static bool decode(char *text)
{
    char *to = text;

    for (const char *from = text; *from != '\0'; from++) {
        char byte = *from == '+' ? ' ' : *from;

        if (byte == '%') {
            int high = hex_digit(from[1]);
            int low = high < 0 ? -1 : hex_digit(from[2]);

            if (low < 0)
                return false;
            byte = (char)(high * 16 + low);
            from += 2;
        }
        if ((unsigned char)byte < 0x20 || byte == 0x7f)
            return false;
        *to++ = byte;
    }
    *to = '\0';
    return utf8_valid(text, (size_t)(to - text));
}

static void add_pair(struct request *req, char *part, struct problem *problem)
{
    char *equals = strchr(part, '=');
    const char *value = "";

    if (equals != NULL) {
        *equals = '\0';
        value = equals + 1;
    }
    if (!decode(part) || (equals != NULL && !decode(equals + 1))) {
        problem_add(problem, "query_invalid", "", "The URL's query is malformed.");
        return;
    }
    if (request_query(req, part) != NULL) {
        problem_add(problem, "query_repeated", part, "%.60s stands twice in the query.",
                    part);
        return;
    }
    if (req->query_count == REQUEST_QUERY_MAX) {
        problem_add(problem, "query_too_many", "", "The query has too many parts.");
        return;
    }
    req->query[req->query_count].name = part;
    req->query[req->query_count].value = value;
    req->query_count++;
}

void query_parse(char *text, struct request *req, struct problem *problem)
{
    char *next;

    req->query_count = 0;
    problem->status = 400;
    for (char *part = text; part != NULL && *part != '\0'; part = next) {
        next = strchr(part, '&');
        if (next != NULL)
            *next++ = '\0';
        add_pair(req, part, problem);
    }
}
