#include "config.h"

#include <arpa/inet.h>
#include <errno.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#define FAULT_SIZE CONFIG_FAULT_SIZE

enum option_kind {
    OPTION_FLAG,
    OPTION_TEXT,
    OPTION_PORT,
    OPTION_COUNT,
    OPTION_NAMES, /* may be given more than once */
    OPTION_ADDRESSES,
    OPTION_FILE, /* a text, and as those below never in a file */
    OPTION_ONCE_FLAG,
    OPTION_ONCE_TEXT
};

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
    {"--name", "NAME[:PORT]", "another name of this house's Coilkeep; may be repeated",
     OPTION_NAMES, MEMBER(names)},
    {"--trusted-proxy", "ADDR", "believe what this proxy forwards; may be repeated",
     OPTION_ADDRESSES, MEMBER(proxies)},
    {"--config", "FILE", "read options from FILE, as \"port = 8425\"", OPTION_FILE,
     MEMBER(file)},
    {"--connections", "N", "most connections at once (else 256)", OPTION_COUNT,
     MEMBER(connections)},
    {"--connections-per-address", "N", "most from one address (else 32)", OPTION_COUNT,
     MEMBER(connections_per_address)},
    {"--backup-passphrase-file", "FILE", "seal copies with the passphrase in FILE",
     OPTION_TEXT, MEMBER(backup_passphrase_file)},
    {"--to", "FILE", "of the command backup: the file to make", OPTION_ONCE_TEXT, MEMBER(to)},
    {"--from", "FILE", "of the command restore: the copy to put back", OPTION_ONCE_TEXT,
     MEMBER(from)},
    {"--dry-run", NULL, "of the command restore: only look", OPTION_ONCE_FLAG,
     MEMBER(dry_run)},
    {"--web-root", "DIR", "serve the pages from DIR, while working on them",
     OPTION_TEXT, MEMBER(web_root)},
    {"--test-clock", "FILE", "add the seconds in FILE to the clock, for tests",
     OPTION_TEXT, MEMBER(test_clock)},
    {"--help", NULL, "print this and end", OPTION_ONCE_FLAG, MEMBER(help)},
    {"--version", NULL, "print the version and end", OPTION_ONCE_FLAG, MEMBER(version)},
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
    {"check-config", "say whether the options and the file fit", COMMAND_CHECK_CONFIG},
    {"print-config", "print the options that hold, as a file", COMMAND_PRINT_CONFIG},
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

static bool is_address(const char *address)
{
    unsigned char bytes[16];

    return inet_pton(AF_INET, address, bytes) == 1 ||
           inet_pton(AF_INET6, address, bytes) == 1;
}

/* Letters, digits, "-" and "." (RFC 1123), then a port or none. */
static bool is_host_name(const char *text)
{
    size_t length = strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789-."
                                 "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
    unsigned long port = 0;

    if (length == 0 || text[0] == '.' || text[0] == '-' || text[length - 1] == '.')
        return false;
    return text[length] == '\0' ||
           (text[length] == ':' && read_number(text + length + 1, 1, 65535, &port));
}

static bool add_to_list(char list[][CONFIG_WORD_SIZE], const char *word)
{
    for (size_t i = 0; i < CONFIG_LIST_MAX && strlen(word) < CONFIG_WORD_SIZE; i++) {
        if (list[i][0] != '\0')
            continue;
        memcpy(list[i], word, strlen(word) + 1);
        return true;
    }
    return false;
}

static bool store(const struct option *option, const char *value, struct config *out,
                  char *out_fault)
{
    void *member = (char *)out + option->offset;
    unsigned long number = 0;

    switch (option->kind) {
    case OPTION_FLAG:
    case OPTION_ONCE_FLAG:
        *(bool *)member = true;
        return true;
    case OPTION_NAMES:
        if (is_host_name(value) && add_to_list(member, value))
            return true;
        break;
    case OPTION_ADDRESSES:
        if (is_address(value) && add_to_list(member, value))
            return true;
        break;
    case OPTION_TEXT:
    case OPTION_FILE:
    case OPTION_ONCE_TEXT:
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

static bool is_flag(const struct option *option)
{
    return option->kind == OPTION_FLAG || option->kind == OPTION_ONCE_FLAG;
}

/* One option and its value from argv[*at] on; *at then stands at the last word used. */
static bool read_argument(int argc, char **argv, int *at, const struct option **out,
                          const char **out_value)
{
    const char *word = argv[*at];
    size_t length = strcspn(word, "=");

    *out = find(word, length);
    *out_value = word[length] == '=' ? word + length + 1 : NULL;
    if (*out == NULL || (is_flag(*out) && *out_value != NULL))
        return false;
    if (!is_flag(*out) && *out_value == NULL)
        *out_value = *at + 1 < argc ? argv[++*at] : "";
    return true;
}

/* The first pass takes only the file's name, so that the file comes under the rest. */
static bool read_arguments(int argc, char **argv, bool only_file, struct config *out,
                           char *out_fault)
{
    for (int i = read_command(argc, argv, out); i < argc; i++) {
        const char *word = argv[i], *value;
        const struct option *option;

        if (!read_argument(argc, argv, &i, &option, &value)) {
            snprintf(out_fault, FAULT_SIZE,
                     "\"%.80s\" is no command or option; see --help.", word);
            return false;
        }
        if (only_file == (option->kind == OPTION_FILE) &&
            !store(option, value, out, out_fault))
            return false;
    }
    return true;
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
    if (!read_arguments(argc, argv, true, out, out_fault) ||
        (out->file[0] != '\0' && !config_read_file(out->file, out, out_fault)) ||
        !read_arguments(argc, argv, false, out, out_fault))
        return false;
    return out->help || out->version || check(out, out_fault);
}

/* ---- in a file ---- */

static bool set_flag(const struct option *option, const char *value, struct config *out,
                     char *out_fault)
{
    bool yes = strcmp(value, "yes") == 0;

    if (!yes && strcmp(value, "no") != 0) {
        snprintf(out_fault, FAULT_SIZE, "%s is yes or no.", option->name + 2);
        return false;
    }
    *(bool *)((char *)out + option->offset) = yes;
    return true;
}

/* Cuts spaces at both ends. */
static char *trim(char *text)
{
    size_t length;

    text += strspn(text, " \t\r\n");
    length = strlen(text);
    while (length > 0 && strchr(" \t\r\n", text[length - 1]) != NULL)
        text[--length] = '\0';
    return text;
}

bool config_set_line(struct config *config, char *line, char *out_fault)
{
    char *key = trim(line), *equals = strchr(key, '='), *value;
    const struct option *option = NULL;

    if (key[0] == '\0' || key[0] == '#')
        return true;
    if (equals == NULL) {
        snprintf(out_fault, FAULT_SIZE, "\"%.60s\" is not of the form key = value.", key);
        return false;
    }
    *equals = '\0';
    value = trim(equals + 1);
    key = trim(key);
    for (size_t i = 0; i < OPTION_TOTAL; i++)
        if (options[i].kind < OPTION_FILE && strcmp(options[i].name + 2, key) == 0)
            option = &options[i];
    if (option == NULL) {
        snprintf(out_fault, FAULT_SIZE, "\"%.60s\" is no option of a file.", key);
        return false;
    }
    return option->kind == OPTION_FLAG ? set_flag(option, value, config, out_fault)
                                       : store(option, value, config, out_fault);
}

bool config_read_file(const char *path, struct config *config, char *out_fault)
{
    FILE *stream = fopen(path, "re");
    char line[1024], fault[FAULT_SIZE];
    bool good = stream != NULL;

    if (stream == NULL)
        snprintf(out_fault, FAULT_SIZE, "--config: %.80s cannot be read: %.60s", path,
                 strerror(errno));
    for (unsigned number = 1; good && fgets(line, sizeof line, stream); number++) {
        bool is_whole = strlen(line) + 1 < sizeof line;

        snprintf(fault, sizeof fault, "it is too long.");
        good = is_whole && config_set_line(config, line, fault);
        if (!good)
            snprintf(out_fault, FAULT_SIZE, "%.60s, line %u: %.100s", path, number, fault);
    }
    if (good && ferror(stream)) {
        snprintf(out_fault, FAULT_SIZE, "--config: %.80s cannot be read: %.60s", path,
                 strerror(errno));
        good = false;
    }
    if (stream != NULL)
        fclose(stream);
    return good;
}

static void print_list(const char *key, char list[][CONFIG_WORD_SIZE], FILE *stream)
{
    for (size_t i = 0; i < CONFIG_LIST_MAX && list[i][0] != '\0'; i++)
        fprintf(stream, "%s = %s\n", key, list[i]);
}

void config_print(const struct config *config, FILE *stream)
{
    for (size_t i = 0; i < OPTION_TOTAL; i++) {
        const char *key = options[i].name + 2;
        void *member = (char *)(uintptr_t)config + options[i].offset;

        switch (options[i].kind) {
        case OPTION_FLAG:
            fprintf(stream, "%s = %s\n", key, *(bool *)member ? "yes" : "no");
            break;
        case OPTION_TEXT:
            if (*(char *)member != '\0')
                fprintf(stream, "%s = %s\n", key, (char *)member);
            break;
        case OPTION_PORT:
            fprintf(stream, "%s = %u\n", key, (unsigned)*(uint16_t *)member);
            break;
        case OPTION_COUNT:
            fprintf(stream, "%s = %u\n", key, *(unsigned *)member);
            break;
        case OPTION_NAMES:
        case OPTION_ADDRESSES:
            print_list(key, member, stream);
            break;
        case OPTION_FILE:
        case OPTION_ONCE_FLAG:
        case OPTION_ONCE_TEXT:
            break;
        }
    }
}
