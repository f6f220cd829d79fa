/*
 * Cities of the zone table: tzdata's zone.tab names one city with its coordinates for
 * each zone of each country. Lets a person place the house without knowing coordinates
 * and without the internet. Knows nothing of the API.
 */
#ifndef PLACES_H
#define PLACES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

struct place {
    char zone[64];                     /* IANA name; its last part is the city's */
    int64_t latitude_e6, longitude_e6; /* degrees, north and east positive */
};

/* One line of the table (country, ±DDMM±DDDMM or ±DDMMSS±DDDMMSS, zone, comment;
 * between them tabs), without its line end. False for comments and for what is no such
 * line; *out is untouched then. Form: the head of zone1970.tab [tzdata]. */
bool places_parse(const char *line, struct place *out);

/* Reads lines until the file ends or max places are there; returns how many. */
size_t places_read(FILE *file, struct place *out, size_t max);

/* Opens zone.tab, or zone1970.tab, of the system's zone data; NULL when there is none.
 */
FILE *places_open(void);

#endif
