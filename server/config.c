#include "config.h"

#include <arpa/inet.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#define FAULT_SIZE 200

enum option_kind { OPTION_FLAG, OPTION_TEXT, OPTION_PORT, OPTION_COUNT };

struct option {
    const char *name;
    const char *value; /* its name in the help; NULL for a flag */
    const char *help;
    enum option_kind kind;
    size_t offset, size; /* of the member */
};

#define MEMBER(member)                                                                 \
    offsetof(struct config, member), sizeof((struct config *)0)->member

static const struct option options[] = {
    {"--demo", NULL, "fill an empty data folder with an invented pool", OPTION_FLAG,
     MEMBER(demo)},
    {"--data", "DIR", "data folder (else $XDG_STATE_HOME/coilkeep)", OPTION_TEXT,
     MEMBER(data)},
    {"--port", "N", "port to listen on, 0 for any free one (else 8425)", OPTION_PORT,
     MEMBER(port)},
    {"--bind", "ADDR", "address to listen on (else 127.0.0.1)", OPTION_TEXT,
     MEMBER(bind)},
    {"--connections", "N", "most connections at once (else 256)", OPTION_COUNT,
     MEMBER(connections)},
    {"--connections-per-address", "N", "most from one address (else 32)", OPTION_COUNT,
     MEMBER(connections_per_address)},
    {"--backup-passphrase-file", "FILE", "seal copies with the passphrase in FILE",
     OPTION_TEXT, MEMBER(backup_passphrase_file)},
    {"--to", "FILE", "of the command backup: the file to make", OPTION_TEXT, MEMBER(to)},
    {"--from", "FILE", "of the command restore: the copy to put back", OPTION_TEXT,
     MEMBER(from)},
    {"--dry-run", NULL, "of the command restore: only look", OPTION_FLAG,
     MEMBER(dry_run)},
    {"--web-root", "DIR", "serve the pages from DIR, while working on them",
     OPTION_TEXT, MEMBER(web_root)},
    {"--test-clock", "FILE", "add the seconds in FILE to the clock, for tests",
     OPTION_TEXT, MEMBER(test_clock)},
    {"--help", NULL, "print this and end", OPTION_FLAG, MEMBER(help)},
    {"--version", NULL, "print the version and end", OPTION_FLAG, MEMBER(version)},
};

static const struct command {
    const char *name, *help;
    enum config_command command;
} commands[] = {
    {"claim-code", "show the code with which the first owner claims this Coilkeep",
     COMMAND_CLAIM_CODE},
    {"reset-owner", "give the owner a new passphrase and end the owner's logins",
     COMMAND_RESET_OWNER},
    {"check", "look through the database and its journal", COMMAND_CHECK},
    {"backup", "copy the database to the file --to", COMMAND_BACKUP},
    {"restore", "put the copy --from in place of the database", COMMAND_RESTORE},
};

#define COMMAND_TOTAL (sizeof commands / sizeof commands[0])
#define OPTION_TOTAL (sizeof options / sizeof options[0])

void config_help(FILE *stream)
{
    fprintf(stream, "coilkeepd keeps a pool's gas heater alive.\n\n"
                    "    coilkeepd [COMMAND] [OPTION]...\n\nCommands:\n");
    for (size_t i = 0; i < COMMAND_TOTAL; i++)
        fprintf(stream, "  %-28s  %s\n", commands[i].name, commands[i].help);
    fprintf(stream, "\nOptions:\n");
    for (size_t i = 0; i < OPTION_TOTAL; i++) {
        char left[64];

        snprintf(left, sizeof left, "%s%s%s", options[i].name,
                 options[i].value ? " " : "", options[i].value ? options[i].value : "");
        fprintf(stream, "  %-28s  %s\n", left, options[i].help);
    }
    fprintf(stream, "\nWithout a command it runs in the foreground; SIGINT or SIGTERM ends it.\n");
}

/* A whole number from low to high. */
static bool read_number(const char *text, unsigned long low, unsigned long high,
                        unsigned long *out)
{
    char *end = NULL;

    if (*text < '0' || *text > '9' || strlen(text) > 9)
        return false;
    *out = strtoul(text, &end, 10);
    return *end == '\0' && *out >= low && *out <= high;
}

static bool store(const struct option *option, const char *value, struct config *out,
                  char *out_fault)
{
    void *member = (char *)out + option->offset;
    unsigned long number = 0;

    switch (option->kind) {
    case OPTION_FLAG:
        *(bool *)member = true;
        return true;
    case OPTION_TEXT:
        if (value[0] != '\0' && strlen(value) < option->size) {
            memcpy(member, value, strlen(value) + 1);
            return true;
        }
        break;
    case OPTION_PORT:
        if (read_number(value, 0, 65535, &number)) {
            *(uint16_t *)member = (uint16_t)number;
            return true;
        }
        break;
    case OPTION_COUNT:
        if (read_number(value, 1, 1000, &number)) {
            *(unsigned *)member = (unsigned)number;
            return true;
        }
        break;
    }
    snprintf(out_fault, FAULT_SIZE, "%s: \"%.80s\" does not fit.", option->name, value);
    return false;
}

static const struct option *find(const char *argument, size_t length)
{
    for (size_t i = 0; i < OPTION_TOTAL; i++)
        if (strlen(options[i].name) == length &&
            strncmp(options[i].name, argument, length) == 0)
            return &options[i];
    return NULL;
}

/* The freedesktop.org base directory specification: a relative path is to be ignored.
 */
static void set_default_data(const char *home, const char *xdg, struct config *out)
{
    if (xdg != NULL && xdg[0] == '/')
        snprintf(out->data, sizeof out->data, "%s/coilkeep", xdg);
    else if (home != NULL && home[0] == '/')
        snprintf(out->data, sizeof out->data, "%s/.local/state/coilkeep", home);
}

bool config_is_loopback(const char *address)
{
    unsigned char bytes[16];
    static const unsigned char six[16] = {[15] = 1};

    if (inet_pton(AF_INET, address, bytes) == 1)
        return bytes[0] == 127;
    return inet_pton(AF_INET6, address, bytes) == 1 &&
           memcmp(bytes, six, sizeof six) == 0;
}

static bool is_address(const char *address)
{
    unsigned char bytes[16];

    return inet_pton(AF_INET, address, bytes) == 1 ||
           inet_pton(AF_INET6, address, bytes) == 1;
}

static bool check(const struct config *config, char *out_fault)
{
    if (!is_address(config->bind))
        snprintf(out_fault, FAULT_SIZE, "--bind: \"%.80s\" is not an IP address.",
                 config->bind);
    else if (config->data[0] == '\0')
        snprintf(out_fault, FAULT_SIZE,
                 "There is no home folder to keep data in. Say where with --data DIR.");
    else if (config->command == COMMAND_BACKUP && config->to[0] == '\0')
        snprintf(out_fault, FAULT_SIZE, "backup: say which file to make with --to FILE.");
    else if (config->command == COMMAND_RESTORE && config->from[0] == '\0')
        snprintf(out_fault, FAULT_SIZE, "restore: say which copy with --from FILE.");
    else
        return true;
    return false;
}

/* Index of the first option. */
static int read_command(int argc, char **argv, struct config *out)
{
    for (size_t i = 0; argc > 1 && i < COMMAND_TOTAL; i++)
        if (strcmp(argv[1], commands[i].name) == 0) {
            out->command = commands[i].command;
            return 2;
        }
    return 1;
}

bool config_read(int argc, char **argv, const char *home, const char *xdg_state_home,
                 struct config *out, char *out_fault)
{
    memset(out, 0, sizeof *out);
    out->port = CONFIG_PORT;
    out->connections = 256;
    out->connections_per_address = 32;
    snprintf(out->bind, sizeof out->bind, "127.0.0.1");
    set_default_data(home, xdg_state_home, out);
    for (int i = read_command(argc, argv, out); i < argc; i++) {
        size_t length = strcspn(argv[i], "=");
        const struct option *option = find(argv[i], length);
        const char *value = argv[i][length] == '=' ? argv[i] + length + 1 : NULL;

        if (option == NULL || (option->kind == OPTION_FLAG && value != NULL)) {
            snprintf(out_fault, FAULT_SIZE, "\"%.80s\" is no command or option; see --help.",
                     argv[i]);
            return false;
        }
        if (option->kind != OPTION_FLAG && value == NULL)
            value = i + 1 < argc ? argv[++i] : "";
        if (!store(option, value, out, out_fault))
            return false;
    }
    return out->help || out->version || check(out, out_fault);
}
