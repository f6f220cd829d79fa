/*
 * Pictures as files in the folder "photos" of the state folder, each named by the
 * SHA-256 of its bytes, so that the same picture is kept once. Knows no database.
 */
#ifndef PHOTO_STORE_H
#define PHOTO_STORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define PHOTO_HASH_SIZE 65

enum photo_store_status { PHOTO_STORE_OK, PHOTO_STORE_FULL, PHOTO_STORE_FAILED };

/* Safe on disk when PHOTO_STORE_OK is returned. */
enum photo_store_status photo_store_put(const char *state_dir, const uint8_t *bytes,
                                        size_t length, char out_hash[PHOTO_HASH_SIZE]);

/* Gives the bytes (free releases them); NULL when the file is not there, too large, or
 * no more what its name says. */
uint8_t *photo_store_get(const char *state_dir, const char *hash, size_t *out_length);

#endif
