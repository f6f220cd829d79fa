/*
 * What is a photo, and what is left of one. Each input stands alone in memory of its own
 * length, so that a read past its end is seen by the sanitizers.
 */
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "server/photo_strip.h"
#include "tests/support/suite.h"

#define SIZE 4096

struct made {
    uint8_t bytes[SIZE];
    size_t length;
};

static void put(struct made *made, const void *bytes, size_t length)
{
    memcpy(made->bytes + made->length, bytes, length);
    made->length += length;
}

static void segment(struct made *made, int marker, const void *data, size_t length)
{
    const uint8_t head[4] = {0xFF, (uint8_t)marker, (uint8_t)((length + 2) >> 8),
                             (uint8_t)(length + 2)};

    put(made, head, 4);
    put(made, data, length);
}

static const char place[] = "GPS 52.52 N 13.40 E";

/* Exif of the byte order named, orientation 6, and a place. */
static void exif(struct made *made, bool is_big)
{
    static const uint8_t big[] = "Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0"
                                 "\x01\0\x06\0\0\0\0\0\0GPS 52.52 N 13.40 E";
    static const uint8_t little[] = "Exif\0\0II\x2a\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0"
                                    "\0\x06\0\0\0\0\0\0\0GPS 52.52 N 13.40 E";

    segment(made, 0xE1, is_big ? big : little, sizeof big - 1);
}

static struct made jpeg(bool is_big)
{
    static const uint8_t frame[] = {8, 0, 40, 0, 30, 1, 1, 0x11, 0};
    static const uint8_t scan[] = {1, 1, 0, 0, 63, 0};
    static const uint8_t data[] = {1, 2, 0xFF, 0x00, 3, 0xFF, 0xD0, 4, 0xFF, 0xFF};
    struct made made = {.length = 0};

    put(&made, "\xFF\xD8", 2);
    segment(&made, 0xE0, "JFIF\0\x01\x02\0\0\x01\0\x01\0\0", 14);
    exif(&made, is_big);
    segment(&made, 0xE2, place, sizeof place);
    segment(&made, 0xFE, place, sizeof place);
    segment(&made, 0xDB, "table", 5);
    segment(&made, 0xC0, frame, sizeof frame);
    segment(&made, 0xDA, scan, sizeof scan);
    put(&made, data, sizeof data - 1);
    segment(&made, 0xC4, "more", 4); /* a second scan, as progressive ones have */
    segment(&made, 0xDA, scan, sizeof scan);
    put(&made, data, sizeof data - 2);
    put(&made, "\xFF\xD9", 2);
    put(&made, place, sizeof place);
    return made;
}

/* One grey pixel and a tEXt chunk, made with Python's zlib; "GPS" follows its end. */
static const uint8_t png_bytes[] = {
    0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 0x00, 0x00, 0x00, 0x0D, 0x49, 0x48,
    0x44, 0x52, 0x00, 0x00, 0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00,
    0x00, 0x3A, 0x7E, 0x9B, 0x55, 0x00, 0x00, 0x00, 0x07, 0x74, 0x45, 0x58, 0x74, 0x50,
    0x6C, 0x61, 0x63, 0x65, 0x00, 0x78, 0x7D, 0x9F, 0xF0, 0x3E, 0x00, 0x00, 0x00, 0x0A,
    0x49, 0x44, 0x41, 0x54, 0x78, 0x9C, 0x63, 0x68, 0x00, 0x00, 0x00, 0x82, 0x00, 0x81,
    0x77, 0xCD, 0x72, 0xB6, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4E, 0x44, 0xAE, 0x42,
    0x60, 0x82, 0x47, 0x50, 0x53};

static bool holds(const uint8_t *bytes, size_t length, const char *text)
{
    size_t size = strlen(text);

    for (size_t i = 0; i + size <= length; i++)
        if (memcmp(bytes + i, text, size) == 0)
            return true;
    return false;
}

/* Calls it with copies of exactly that size. */
static enum photo_fault strip(const uint8_t *bytes, size_t length,
                              struct photo_info *info, struct made *out)
{
    uint8_t *in = malloc(length > 0 ? length : 1);
    uint8_t *made = malloc(length + PHOTO_EXTRA);
    enum photo_fault fault;

    ck_assert(in != NULL && made != NULL);
    memcpy(in, bytes, length);
    fault = photo_strip(in, length, info, made, &out->length);
    if (fault == PHOTO_FINE) {
        ck_assert_uint_le(out->length, length + PHOTO_EXTRA);
        memcpy(out->bytes, made, out->length);
    }
    free(in);
    free(made);
    return fault;
}

START_TEST(a_jpeg_loses_everything_but_the_picture_and_which_way_up_it_is)
{
    struct made in = jpeg(_i == 1), out = {.length = 0}, again = {.length = 0};
    struct photo_info info;

    ck_assert(holds(in.bytes, in.length, "GPS"));
    ck_assert_int_eq(strip(in.bytes, in.length, &info, &out), PHOTO_FINE);
    ck_assert_int_eq(info.kind, PHOTO_JPEG);
    ck_assert_uint_eq(info.width, 30);
    ck_assert_uint_eq(info.height, 40);
    ck_assert_int_eq(info.orientation, 6);
    ck_assert(!holds(out.bytes, out.length, "GPS"));
    ck_assert(holds(out.bytes, out.length, "JFIF"));
    ck_assert(holds(out.bytes, out.length, "table"));
    ck_assert(holds(out.bytes, out.length, "more"));
    ck_assert(memcmp(out.bytes + out.length - 2, "\xFF\xD9", 2) == 0);
    /* The copy is a photo too, and nothing is left to take out. */
    ck_assert_int_eq(strip(out.bytes, out.length, &info, &again), PHOTO_FINE);
    ck_assert_int_eq(info.orientation, 6);
    ck_assert_uint_eq(again.length, out.length);
    ck_assert(memcmp(again.bytes, out.bytes, out.length) == 0);
}
END_TEST

START_TEST(a_png_keeps_the_chunks_that_draw_it)
{
    struct made out = {.length = 0};
    struct photo_info info;

    ck_assert_int_eq(strip(png_bytes, sizeof png_bytes, &info, &out), PHOTO_FINE);
    ck_assert_int_eq(info.kind, PHOTO_PNG);
    ck_assert_uint_eq(info.width, 1);
    ck_assert(!holds(out.bytes, out.length, "Place"));
    ck_assert(!holds(out.bytes, out.length, "GPS"));
    ck_assert(holds(out.bytes, out.length, "IDAT"));
}
END_TEST

START_TEST(every_photo_that_is_cut_anywhere_is_refused)
{
    struct made in = jpeg(true), out;
    struct photo_info info;
    size_t end = in.length - sizeof place; /* what follows the picture may be missing */

    for (size_t length = 0; length < end; length++)
        ck_assert_int_ne(strip(in.bytes, length, &info, &out), PHOTO_FINE);
    ck_assert_int_eq(strip(in.bytes, end, &info, &out), PHOTO_FINE);
    for (size_t length = 0; length < sizeof png_bytes - 3; length++)
        ck_assert_int_ne(strip(png_bytes, length, &info, &out), PHOTO_FINE);
}
END_TEST

/* Every byte changed to every value: no crash, and of a PNG whose chunk was touched no
 * picture. */
START_TEST(no_changed_byte_leads_astray)
{
    struct made in = jpeg(false), out;
    struct photo_info info;

    for (size_t i = 0; i < in.length; i++)
        for (int value = 0; value < 256; value += 5) {
            struct made changed = in;

            changed.bytes[i] = (uint8_t)value;
            (void)strip(changed.bytes, changed.length, &info, &out);
        }
    for (size_t i = 8; i < sizeof png_bytes - 3; i++) {
        uint8_t changed[sizeof png_bytes];

        memcpy(changed, png_bytes, sizeof changed);
        changed[i] ^= 0x41;
        ck_assert_int_ne(strip(changed, sizeof changed, &info, &out), PHOTO_FINE);
    }
}
END_TEST

START_TEST(what_is_no_photo_is_told_apart_from_a_broken_one)
{
    static const struct {
        const char *bytes;
        size_t length;
        enum photo_fault fault;
    } all[] = {
        {"", 0, PHOTO_NOT_ONE},
        {"GIF89a", 6, PHOTO_NOT_ONE},
        {"%PDF-1.4", 8, PHOTO_NOT_ONE},
        {"<svg xmlns=''/>", 15, PHOTO_NOT_ONE},
        {"\xFF\xD8", 2, PHOTO_NOT_ONE},
        {"\xFF\xD8\xFF\xD9", 4, PHOTO_BROKEN},
        {"\x89PNG\r\n\x1a\n", 8, PHOTO_BROKEN},
        {"\xFF\xD8\xFF\xE0\0\1", 6, PHOTO_BROKEN},
        {"\xFF\xD8\xFF\xFF\xFF\xFF", 6, PHOTO_BROKEN},
    };
    struct photo_info info;
    struct made out;

    ck_assert_int_eq(strip((const uint8_t *)all[_i].bytes, all[_i].length, &info, &out),
                     all[_i].fault);
}
END_TEST

START_TEST(a_picture_without_a_side_is_refused)
{
    struct made in = jpeg(true), out;
    struct photo_info info;
    size_t at = 0;

    while (memcmp(in.bytes + at, "\0\x28\0\x1e", 4) != 0)
        at++;
    in.bytes[at + 1] = 0;
    ck_assert_int_eq(strip(in.bytes, in.length, &info, &out), PHOTO_TOO_WIDE);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("all");

    tcase_add_loop_test(
        tcase, a_jpeg_loses_everything_but_the_picture_and_which_way_up_it_is, 0, 2);
    tcase_add_test(tcase, a_png_keeps_the_chunks_that_draw_it);
    tcase_add_test(tcase, every_photo_that_is_cut_anywhere_is_refused);
    tcase_add_test(tcase, no_changed_byte_leads_astray);
    tcase_add_loop_test(tcase, what_is_no_photo_is_told_apart_from_a_broken_one, 0, 9);
    tcase_add_test(tcase, a_picture_without_a_side_is_refused);
    tcase_set_timeout(tcase, 30);
    return suite_run("photo_strip", tcase);
}
