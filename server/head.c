#include "head.h"

#include <string.h>

#define METHOD_MAX 16
#define LENGTH_DIGITS_MAX 12

static void refuse(struct head *head, int status, const char *code, const char *detail)
{
    head->state = HEAD_REFUSED;
    head->status = status;
    head->code = code;
    head->detail = detail;
}

static void refuse_form(struct head *head, const char *detail)
{
    refuse(head, 400, "request_malformed", detail);
}

/* RFC 9110 section 5.6.2 */
static bool is_token_byte(unsigned char byte)
{
    if ((byte >= '0' && byte <= '9') || (byte >= 'A' && byte <= 'Z') ||
        (byte >= 'a' && byte <= 'z'))
        return true;
    return byte != '\0' && strchr("!#$%&'*+-.^_`|~", byte) != NULL;
}

static void enter(struct head *head, enum head_state state)
{
    head->state = state;
    head->piece_bytes = 0;
}

static void read_method(struct head *head, unsigned char byte)
{
    if (byte == ' ' && head->piece_bytes > 0)
        enter(head, HEAD_TARGET);
    else if (!is_token_byte(byte) || ++head->piece_bytes > METHOD_MAX)
        refuse_form(head, "The request line does not start with a method.");
}

static void read_target(struct head *head, unsigned char byte)
{
    if (byte == ' ' && head->piece_bytes > 0) {
        enter(head, HEAD_VERSION);
        return;
    }
    if (byte <= 0x20 || byte >= 0x7f)
        refuse_form(head, "The request target holds a byte that belongs in no URL.");
    else if (head->piece_bytes == 0 && byte != '/' && byte != '*')
        refuse_form(head, "The request target is not a path.");
    else if (++head->piece_bytes > HEAD_TARGET_MAX)
        refuse(head, 414, "target_too_long", "The URL is longer than 2048 bytes.");
}

static void read_version(struct head *head, unsigned char byte)
{
    if (byte == '\r' && head->piece_bytes == 8) {
        if (memcmp(head->version, "HTTP/1.1", 8) == 0 ||
            memcmp(head->version, "HTTP/1.0", 8) == 0)
            head->state = HEAD_LINE_FEED;
        else if (memcmp(head->version, "HTTP/", 5) == 0)
            refuse(head, 505, "version_unknown", "Only HTTP/1.1 and HTTP/1.0 here.");
        else
            refuse_form(head, "The request line does not end with an HTTP version.");
    } else if (byte <= 0x20 || byte >= 0x7f || head->piece_bytes == 8) {
        refuse_form(head, "The request line does not end with an HTTP version.");
    } else {
        head->version[head->piece_bytes++] = (char)byte;
    }
}

static bool name_is(const struct head *head, const char *name)
{
    return head->name_length == strlen(name) &&
           memcmp(head->name, name, head->name_length) == 0;
}

/* Counts the fields that frame the message, once a field's name is whole. */
static void note_field(struct head *head)
{
    head->in_length = false;
    head->value_ended = false;
    if (name_is(head, "host") && ++head->host_count > 1)
        refuse_form(head, "More than one Host.");
    if (name_is(head, "transfer-encoding"))
        head->has_transfer_encoding = true;
    if (name_is(head, "content-length")) {
        head->in_length = true;
        if (++head->length_count > 1)
            refuse_form(head, "More than one Content-Length.");
    }
}

static void read_name(struct head *head, unsigned char byte)
{
    if (byte == ':' && head->name_length > 0) {
        enter(head, HEAD_VALUE);
        note_field(head);
        return;
    }
    if (!is_token_byte(byte)) {
        refuse_form(head, "A header's name holds a byte that does not belong there.");
        return;
    }
    if (byte >= 'A' && byte <= 'Z')
        byte = (unsigned char)(byte + 32);
    if (head->name_length < sizeof head->name)
        head->name[head->name_length] = (char)byte;
    head->name_length++;
}

static void start_field(struct head *head, unsigned char byte)
{
    if (byte == '\r') {
        head->state = HEAD_LAST_LINE_FEED;
    } else if (byte == ' ' || byte == '\t') {
        refuse_form(head, "A header is folded over two lines.");
    } else if (++head->fields > HEAD_FIELDS_MAX) {
        refuse(head, 431, "headers_too_large", "More than 64 headers.");
    } else {
        enter(head, HEAD_NAME);
        head->name_length = 0;
        read_name(head, byte);
    }
}

/* Digits only, white space around: no sign, no list. */
static void read_length(struct head *head, unsigned char byte)
{
    if (byte == ' ' || byte == '\t') {
        head->value_ended = head->piece_bytes > 0;
        return;
    }
    if (byte < '0' || byte > '9' || head->value_ended) {
        refuse_form(head, "Content-Length is not a number.");
        return;
    }
    if (++head->piece_bytes > LENGTH_DIGITS_MAX)
        refuse(head, 413, "body_too_large", "The body is too large.");
    head->content_length = head->content_length * 10 + (byte - '0');
}

static void read_value(struct head *head, unsigned char byte)
{
    if (byte == '\r') {
        if (head->in_length && head->piece_bytes == 0)
            refuse_form(head, "Content-Length is not a number.");
        else
            head->state = HEAD_LINE_FEED;
    } else if (byte == '\n') {
        refuse_form(head, "A line ends without CR before LF.");
    } else if ((byte < 0x20 && byte != '\t') || byte == 0x7f) {
        refuse_form(head, "A header holds a control byte.");
    } else if (head->in_length) {
        read_length(head, byte);
    }
}

static void finish(struct head *head)
{
    if (head->host_count != 1)
        refuse(head, 400, "host_missing", "There is no Host.");
    else if (head->has_transfer_encoding && head->length_count > 0)
        refuse_form(head, "Both Content-Length and Transfer-Encoding.");
    else if (head->has_transfer_encoding)
        refuse(head, 411, "length_missing", "Send the body with a Content-Length.");
    else
        head->state = HEAD_DONE;
}

static void read_byte(struct head *head, unsigned char byte)
{
    switch (head->state) {
    case HEAD_METHOD:
        read_method(head, byte);
        break;
    case HEAD_TARGET:
        read_target(head, byte);
        break;
    case HEAD_VERSION:
        read_version(head, byte);
        break;
    case HEAD_LINE_FEED:
    case HEAD_LAST_LINE_FEED:
        if (byte != '\n')
            refuse_form(head, "A line holds CR without LF after it.");
        else if (head->state == HEAD_LINE_FEED)
            head->state = HEAD_FIELD_START;
        else
            finish(head);
        break;
    case HEAD_FIELD_START:
        start_field(head, byte);
        break;
    case HEAD_NAME:
        read_name(head, byte);
        break;
    case HEAD_VALUE:
        read_value(head, byte);
        break;
    case HEAD_DONE:
    case HEAD_REFUSED:
        break;
    }
}

size_t head_feed(struct head *head, const char *bytes, size_t length)
{
    size_t at = 0;

    while (at < length && head->state != HEAD_DONE && head->state != HEAD_REFUSED) {
        if (++head->bytes > HEAD_BYTES_MAX)
            refuse(head, 431, "headers_too_large", "The headers exceed 16 KiB.");
        else
            read_byte(head, (unsigned char)bytes[at]);
        at++;
    }
    return at;
}

bool head_is_open(const struct head *head)
{
    return head->bytes > 0 && head->state != HEAD_DONE;
}
