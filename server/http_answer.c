#include "http_answer.h"

#include <stdio.h>
#include <stdlib.h>

#include "golden.h"
#include "log.h"
#include "wire.h"

/* A streamed answer leaves in pieces of this size. */
#define PIECE_BYTES ((size_t)64 * 1024)

void http_answer_header(struct MHD_Response *response, const char *name,
                        const char *value)
{
    if (value != NULL && value[0] != '\0' &&
        MHD_add_response_header(response, name, value) != MHD_YES)
        log_line(LOG_LEVEL_ERROR, "http", "no memory for the header %s", name);
}

void http_answer_headers(struct MHD_Response *response, const struct reply *reply)
{
    char seconds[16] = "";

    for (size_t i = 0; golden_headers[i].name != NULL; i++)
        http_answer_header(response, golden_headers[i].name, golden_headers[i].value);
    http_answer_header(response, "Cache-Control",
        reply->cache_control == NULL ? "no-store" : reply->cache_control);
    http_answer_header(response, "Content-Type", reply->content_type);
    http_answer_header(response, "Content-Encoding", reply->encoding);
    http_answer_header(response, "ETag", reply->etag);
    http_answer_header(response, "Location", reply->location);
    http_answer_header(response, "Allow", reply->allow);
    for (size_t i = 0; i < sizeof reply->cookies / sizeof reply->cookies[0]; i++)
        http_answer_header(response, "Set-Cookie", reply->cookies[i]);
    http_answer_header(response, "Vary", reply->varies ? "Accept-Encoding" : NULL);
    if (reply->retry_after_s > 0)
        snprintf(seconds, sizeof seconds, "%d", reply->retry_after_s);
    http_answer_header(response, "Retry-After", seconds);
}

/* One streamed answer on its way. */
struct sending {
    struct reply_stream *stream;
    int fd;
};

/* Each piece that is asked for shows that the one before has left. */
static ssize_t send_piece(void *context, uint64_t position, char *out, size_t size)
{
    struct sending *sending = context;
    ptrdiff_t length = sending->stream->next(sending->stream, out, size);

    (void)position;
    wire_answer_due(sending->fd, HTTP_ANSWER_MS);
    if (length > 0)
        return (ssize_t)length;
    return length == 0 ? MHD_CONTENT_READER_END_OF_STREAM
                       : MHD_CONTENT_READER_END_WITH_ERROR;
}

static void end_sending(void *context)
{
    struct sending *sending = context;

    sending->stream->finish(sending->stream);
    free(sending);
}

static struct MHD_Response *make_stream_response(struct reply *reply, int fd)
{
    struct sending *sending = malloc(sizeof *sending);
    struct MHD_Response *response;

    if (sending == NULL)
        return NULL;
    *sending = (struct sending){reply->stream, fd};
    response = MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, PIECE_BYTES,
                                                 send_piece, sending, end_sending);
    if (response == NULL)
        free(sending);
    else
        reply->stream = NULL;
    return response;
}

/* The library takes an owned body; what is not owned may change, so it is copied. */
struct MHD_Response *http_answer_make(struct reply *reply, int fd)
{
    struct MHD_Response *response;

    if (reply->stream != NULL)
        return make_stream_response(reply, fd);
    response = MHD_create_response_from_buffer(
        reply->body_length, (void *)(uintptr_t)reply->body,
        reply->body_owned ? MHD_RESPMEM_MUST_FREE : MHD_RESPMEM_MUST_COPY);
    if (response != NULL)
        reply->body_owned = false;
    return response;
}
