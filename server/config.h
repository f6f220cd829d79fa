/*
 * The daemon's options. One table makes both the reading and the help.
 */
#ifndef CONFIG_H
#define CONFIG_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#define CONFIG_PORT 8425 /* unassigned in the registry of service names, from memory   \
                          */

/* What to do instead of serving; each works beside a running daemon. */
enum config_command { COMMAND_SERVE, COMMAND_CLAIM_CODE, COMMAND_RESET_OWNER,
                      COMMAND_CHECK, COMMAND_BACKUP, COMMAND_RESTORE,
                      COMMAND_CHECK_CONFIG, COMMAND_PRINT_CONFIG };

#define CONFIG_FAULT_SIZE 200
#define CONFIG_LIST_MAX 8
#define CONFIG_WORD_SIZE 72

struct config {
    enum config_command command;
    bool demo, help, version;
    char data[512]; /* state folder, absolute or relative to the current folder */
    uint16_t port;
    char bind[64];
    char web_root[512];   /* "" for the embedded pages */
    char backup_passphrase_file[512]; /* "" for copies that are not sealed */
    char to[512], from[512];          /* of the commands backup and restore */
    bool dry_run;
    char file[512]; /* "" for none */
    /* "" after the last; a name may bring a port of its own, "pool.example:8443" */
    char names[CONFIG_LIST_MAX][CONFIG_WORD_SIZE];
    char proxies[CONFIG_LIST_MAX][CONFIG_WORD_SIZE]; /* IP addresses */
    char test_clock[512]; /* "" for the machine's clock */
    unsigned connections, connections_per_address;
};

/* Reads the file that the arguments name over the defaults, and the arguments over
 * both; lists add up. False with a sentence for people in out_fault (CONFIG_FAULT_SIZE).
 * home and xdg_state_home are the environment's, NULL when unset. */
bool config_read(int argc, char **argv, const char *home, const char *xdg_state_home,
                 struct config *out, char *out_fault);
void config_help(FILE *stream);
/* What holds, in the form of a file. */
void config_print(const struct config *config, FILE *stream);

/* One line "key = value" of a file: an option without its dashes. A flag's value is yes
 * or no. False with a sentence in out_fault. */
bool config_set_line(struct config *config, char *line, char *out_fault);
/* Reads all lines; the sentence names the first wrong one by its number. */
bool config_read_file(const char *path, struct config *config, char *out_fault);

/* 127.0.0.0/8 and ::1 */
bool config_is_loopback(const char *address);

#endif
