/*
 * A store for tests: in memory or in a folder of its own, with one actor, one water and
 * one heater in it. Every call ends the test when it fails.
 */
#ifndef STORE_SUPPORT_H
#define STORE_SUPPORT_H

#include <check.h>

#include "server/db_private.h"

struct store {
    char folder[64]; /* "" in memory */
    char path[96];
    struct db *db;
    int64_t actor_id, water_id, heater_id;
};

void store_start(struct store *store, bool in_memory);
void store_folder(struct store *store); /* only the folder and the path in it */
void store_finish(struct store *store); /* closes, deletes the folder */

struct db_fact store_fact(const struct store *store, int64_t at);
struct db_reading store_reading(const struct store *store, int64_t at,
                                enum coil_quantity quantity, int64_t amount_e6);
/* Adds it, or adds it as a correction or withdrawal of an older one. Gives the id. */
int64_t store_add(struct store *store, int64_t at, enum coil_quantity quantity,
                  int64_t amount_e6);
int64_t store_correct(struct store *store, int64_t id, int64_t at, int64_t amount_e6);
int64_t store_withdraw(struct store *store, int64_t id);

void store_exec(struct db *db, const char *sql);
int64_t store_integer(struct db *db, const char *sql);
/* A number made of every row of the tables named; "" for all. */
uint64_t store_digest(struct db *db, const char *table);

/* Reproducible numbers: 0 .. below - 1. */
int64_t store_random(uint64_t *state, int64_t below);

int store_run_suite(Suite *suite);

#endif
