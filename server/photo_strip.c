#include "photo_strip.h"

#include <stdbool.h>
#include <string.h>

struct reader {
    const uint8_t *bytes;
    size_t length, at;
};

struct sink {
    uint8_t *out; /* NULL: only look */
    size_t length;
};

static void copy(struct sink *sink, const uint8_t *bytes, size_t length)
{
    if (sink->out != NULL)
        memcpy(sink->out + sink->length, bytes, length);
    sink->length += length;
}

static uint32_t big16(const uint8_t *p)
{
    return (uint32_t)p[0] << 8 | p[1];
}

static uint32_t big32(const uint8_t *p)
{
    return big16(p) << 16 | big16(p + 2);
}

static bool is_side(uint32_t pixels)
{
    return pixels > 0 && pixels <= PHOTO_SIDE_MAX;
}

/* ---- JPEG ---- */

enum {
    SOF0 = 0xC0,
    DHT = 0xC4,
    JPG = 0xC8,
    DAC = 0xCC,
    SOF15 = 0xCF,
    RST0 = 0xD0,
    RST7 = 0xD7,
    SOI = 0xD8,
    EOI = 0xD9,
    SOS = 0xDA,
    DQT = 0xDB,
    DRI = 0xDD,
    APP0 = 0xE0,
    APP1 = 0xE1,
    APP14 = 0xEE
};

static bool is_frame(int marker)
{
    return marker >= SOF0 && marker <= SOF15 && marker != DHT && marker != JPG &&
           marker != DAC;
}

static bool begins(const uint8_t *data, size_t length, const char *text, size_t bytes)
{
    return length >= bytes && memcmp(data, text, bytes) == 0;
}

/* What the picture needs; APP0 and APP14 say how its colours are meant. */
static bool is_kept(int marker, const uint8_t *data, size_t length)
{
    if (marker == APP0)
        return begins(data, length, "JFIF", 5);
    if (marker == APP14)
        return begins(data, length, "Adobe", 5);
    return is_frame(marker) || marker == DHT || marker == DAC || marker == DQT ||
           marker == DRI;
}

static uint32_t tiff16(const uint8_t *p, bool is_big)
{
    return is_big ? big16(p) : (uint32_t)p[1] << 8 | p[0];
}

static uint32_t tiff32(const uint8_t *p, bool is_big)
{
    return is_big ? big32(p) : tiff16(p + 2, false) << 16 | tiff16(p, false);
}

/* Which way up, from an Exif segment; 1 when it does not say. */
static int read_orientation(const uint8_t *data, size_t length)
{
    const uint8_t *tiff = data + 6;
    size_t size = length - 6, at;
    bool is_big;
    uint32_t count;

    if (!begins(data, length, "Exif\0\0", 6) || size < 8)
        return 1;
    is_big = tiff[0] == 'M';
    at = tiff32(tiff + 4, is_big);
    if (at > size || size - at < 2)
        return 1;
    count = tiff16(tiff + at, is_big);
    at += 2;
    for (uint32_t i = 0; i < count && size - at >= 12; i++, at += 12) {
        uint32_t value = tiff16(tiff + at + 8, is_big);

        if (tiff16(tiff + at, is_big) == 0x0112 && tiff16(tiff + at + 2, is_big) == 3)
            return value >= 1 && value <= 8 ? (int)value : 1;
    }
    return 1;
}

static void put_orientation(struct sink *sink, int orientation)
{
    uint8_t segment[36] = {0xFF, APP1, 0, 34,   'E', 'x', 'i', 'f', 0, 0, 'I', 'I',
                           42,   0,    8, 0,    0,   0,   1,   0,   0x12, 0x01, 3, 0,
                           1,    0,    0, 0};

    if (orientation == 1)
        return;
    segment[28] = (uint8_t)orientation;
    copy(sink, segment, sizeof segment);
}

/* Data of one scan, up to the marker after it; false when there is none. */
static bool copy_scan(struct reader *in, struct sink *sink)
{
    size_t from = in->at;

    for (; in->length - in->at >= 2; in->at++) {
        uint8_t next = in->bytes[in->at + 1];

        if (in->bytes[in->at] != 0xFF || next == 0x00 || next == 0xFF ||
            (next >= RST0 && next <= RST7))
            continue;
        copy(sink, in->bytes + from, in->at - from);
        return true;
    }
    return false;
}

struct jpeg {
    struct photo_info *info;
    bool has_frame, has_scan;
};

/* One segment with a length, the reader past its marker. */
static bool take_segment(struct reader *in, struct sink *sink, struct jpeg *jpeg,
                         int marker)
{
    const uint8_t *start = in->bytes + in->at;
    const uint8_t head[2] = {0xFF, (uint8_t)marker};
    size_t size;

    if (in->length - in->at < 2)
        return false;
    size = big16(start);
    if (size < 2 || size > in->length - in->at)
        return false;
    in->at += size;
    if (is_frame(marker)) {
        if (size < 8)
            return false;
        jpeg->info->height = big16(start + 3);
        jpeg->info->width = big16(start + 5);
        jpeg->has_frame = true;
    }
    if (marker == APP1 && size >= 8 && jpeg->info->orientation == 1)
        jpeg->info->orientation = read_orientation(start + 2, size - 2);
    if (marker != SOS && !is_kept(marker, start + 2, size - 2))
        return true;
    copy(sink, head, 2);
    copy(sink, start, size);
    if (marker != SOS)
        return true;
    jpeg->has_scan = true;
    return copy_scan(in, sink);
}

/* All of it; orientation 0: only find out what it is. */
static enum photo_fault walk_jpeg(struct reader *in, struct sink *sink,
                                  struct photo_info *info, int orientation)
{
    static const uint8_t start[2] = {0xFF, SOI}, end[2] = {0xFF, EOI};
    struct jpeg jpeg = {.info = info};

    in->at = 2;
    copy(sink, start, 2);
    if (orientation > 0)
        put_orientation(sink, orientation);
    for (;;) {
        int marker;

        if (in->at >= in->length || in->bytes[in->at] != 0xFF)
            return PHOTO_BROKEN;
        while (in->at < in->length && in->bytes[in->at] == 0xFF)
            in->at++;
        if (in->at >= in->length)
            return PHOTO_BROKEN;
        marker = in->bytes[in->at++];
        if (marker == EOI)
            break;
        if (marker < SOF0 || (marker >= RST0 && marker <= SOI) ||
            !take_segment(in, sink, &jpeg, marker))
            return PHOTO_BROKEN;
    }
    copy(sink, end, 2);
    return jpeg.has_frame && jpeg.has_scan ? PHOTO_FINE : PHOTO_BROKEN;
}

static enum photo_fault strip_jpeg(const uint8_t *in, size_t length,
                                   struct photo_info *info, struct sink *sink)
{
    struct reader reader = {in, length, 0};
    struct sink nowhere = {0};
    enum photo_fault fault = walk_jpeg(&reader, &nowhere, info, 0);

    if (fault != PHOTO_FINE)
        return fault;
    return walk_jpeg(&reader, sink, info, info->orientation);
}

/* ---- PNG ---- */

static const uint8_t png_start[8] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};

/* [w3c-png, annex D], bit by bit. */
static uint32_t crc(const uint8_t *bytes, size_t length)
{
    uint32_t value = 0xFFFFFFFFu;

    for (size_t i = 0; i < length; i++) {
        value ^= bytes[i];
        for (int bit = 0; bit < 8; bit++)
            value = (value & 1) != 0 ? 0xEDB88320u ^ value >> 1 : value >> 1;
    }
    return value ^ 0xFFFFFFFFu;
}

static bool is_chunk(const uint8_t *type, const char *name)
{
    return memcmp(type, name, 4) == 0;
}

static bool is_kept_chunk(const uint8_t *type)
{
    static const char *const kept[] = {"IHDR", "PLTE", "IDAT", "IEND", "tRNS",
                                       "gAMA", "cHRM", "sRGB", "sBIT", "pHYs"};

    for (size_t i = 0; i < sizeof kept / sizeof kept[0]; i++)
        if (is_chunk(type, kept[i]))
            return true;
    return false;
}

static enum photo_fault strip_png(const uint8_t *in, size_t length,
                                  struct photo_info *info, struct sink *sink)
{
    size_t at = sizeof png_start;
    bool has_head = false, has_data = false;

    copy(sink, in, sizeof png_start);
    while (length - at >= 12) {
        const uint8_t *type = in + at + 4;
        size_t size = big32(in + at);

        if (size > length - at - 12 || crc(type, size + 4) != big32(type + 4 + size))
            return PHOTO_BROKEN;
        if (is_chunk(type, "IHDR") == has_head || (is_chunk(type, "IHDR") && size != 13))
            return PHOTO_BROKEN; /* first, and once */
        if (is_chunk(type, "IHDR")) {
            info->width = big32(type + 4);
            info->height = big32(type + 8);
            has_head = true;
        }
        has_data = has_data || is_chunk(type, "IDAT");
        if (is_kept_chunk(type))
            copy(sink, in + at, size + 12);
        at += size + 12;
        if (is_chunk(type, "IEND"))
            return has_data ? PHOTO_FINE : PHOTO_BROKEN;
    }
    return PHOTO_BROKEN;
}

enum photo_fault photo_strip(const uint8_t *in, size_t length, struct photo_info *out_info,
                             uint8_t *out, size_t *out_length)
{
    struct photo_info info = {.orientation = 1};
    struct sink sink = {out, 0};
    enum photo_fault fault;

    if (length >= 4 && in[0] == 0xFF && in[1] == SOI) {
        info.kind = PHOTO_JPEG;
        fault = strip_jpeg(in, length, &info, &sink);
    } else if (length >= sizeof png_start &&
               memcmp(in, png_start, sizeof png_start) == 0) {
        info.kind = PHOTO_PNG;
        fault = strip_png(in, length, &info, &sink);
    } else {
        return PHOTO_NOT_ONE;
    }
    if (fault == PHOTO_FINE && (!is_side(info.width) || !is_side(info.height)))
        fault = PHOTO_TOO_WIDE;
    if (fault != PHOTO_FINE)
        return fault;
    *out_info = info;
    *out_length = sink.length;
    return PHOTO_FINE;
}
