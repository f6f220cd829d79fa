#include "places.h"

#include <stdlib.h>
#include <string.h>

#include "zone.h"

/* "+5230" to degrees: digits of degrees, then minutes, then perhaps seconds. */
static bool read_angle(const char *text, size_t length, size_t degree_digits,
                       int64_t *out_e6)
{
    const size_t minutes_only = 1 + degree_digits + 2;
    int64_t parts[3] = {0}; /* degrees, minutes, seconds */
    size_t at = 1;

    if ((length != minutes_only && length != minutes_only + 2) ||
        (text[0] != '+' && text[0] != '-'))
        return false;
    for (size_t part = 0; at < length; part++)
        for (size_t digit = 0; digit < (part == 0 ? degree_digits : 2); digit++, at++) {
            if (text[at] < '0' || text[at] > '9')
                return false;
            parts[part] = parts[part] * 10 + (text[at] - '0');
        }
    if (parts[0] > (degree_digits == 2 ? 90 : 180) || parts[1] > 59 || parts[2] > 59)
        return false;
    /* 3600 seconds to a degree; rounded to the nearest millionth. */
    *out_e6 = (((parts[0] * 60 + parts[1]) * 60 + parts[2]) * 1000000 + 1800) / 3600;
    if (text[0] == '-')
        *out_e6 = -*out_e6;
    return true;
}

/* The length of a column, up to the next tab or the end. */
static size_t column(const char *text)
{
    return strcspn(text, "\t");
}

bool places_parse(const char *line, struct place *out)
{
    struct place place;
    const char *angles, *zone;
    size_t length, split, zone_length;

    if (line[0] == '#' || line[column(line)] != '\t')
        return false;
    angles = line + column(line) + 1;
    length = column(angles);
    if (length < 2 || angles[length] != '\t')
        return false;
    split = 1 + strcspn(angles + 1, "+-");
    zone = angles + length + 1;
    zone_length = column(zone);
    if (split >= length || zone_length == 0 || zone_length >= sizeof place.zone ||
        !read_angle(angles, split, 2, &place.latitude_e6) ||
        !read_angle(angles + split, length - split, 3, &place.longitude_e6))
        return false;
    memcpy(place.zone, zone, zone_length);
    place.zone[zone_length] = '\0';
    *out = place;
    return true;
}

size_t places_read(FILE *file, struct place *out, size_t max)
{
    char line[512];
    size_t count = 0;

    while (count < max && fgets(line, sizeof line, file) != NULL) {
        line[strcspn(line, "\r\n")] = '\0';
        count += places_parse(line, &out[count]);
    }
    return count;
}

FILE *places_open(void)
{
    static const char *const names[] = {"zone.tab", "zone1970.tab"};
    char path[512];
    FILE *file = NULL;

    for (size_t i = 0; i < 2 && file == NULL; i++)
        if ((size_t)snprintf(path, sizeof path, "%s/%s", zone_directory(), names[i]) <
            sizeof path)
            file = fopen(path, "rbe");
    return file;
}
