/*
 * Photos: is it one, and a copy without anything but the picture.
 *
 * JPEG and PNG are looked at by their content, not their name. Of a JPEG only what is
 * needed to draw it is kept, and which way up it is; of a PNG the chunks that draw it. So
 * place, time, camera, comments, previews and whatever follows the picture's end are gone.
 * Formats as in [itu-t81] and [w3c-png]; Exif's orientation as in [exif-2.3], from memory.
 * Knows no files.
 */
#ifndef PHOTO_STRIP_H
#define PHOTO_STRIP_H

#include <stddef.h>
#include <stdint.h>

#define PHOTO_BYTES_MAX ((size_t)10 * 1024 * 1024)
#define PHOTO_SIDE_MAX 20000
#define PHOTO_EXTRA 64 /* a copy may be longer by the orientation it keeps */

enum photo_kind { PHOTO_JPEG, PHOTO_PNG };

enum photo_fault {
    PHOTO_FINE,
    PHOTO_NOT_ONE, /* neither JPEG nor PNG */
    PHOTO_BROKEN,  /* begins like one, but is cut or damaged */
    PHOTO_TOO_WIDE /* more than PHOTO_SIDE_MAX, or none at all */
};

struct photo_info {
    enum photo_kind kind;
    uint32_t width, height; /* pixels as stored */
    int orientation;        /* 1 to 8 of Exif; 1 upright */
};

/*
 * out  room for length + PHOTO_EXTRA bytes; undefined unless PHOTO_FINE is returned
 *
 * No byte outside [in, in + length) is read. Whether the picture itself can be drawn is
 * not looked at; PNG's checksums are.
 */
enum photo_fault photo_strip(const uint8_t *in, size_t length, struct photo_info *out_info,
                             uint8_t *out, size_t *out_length);

#endif
