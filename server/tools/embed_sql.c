/*
 * Turns schema/NNN_name.sql files into a table in C, in order of their numbers.
 *
 * embed_sql OUTPUT FILE...
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void write_quoted(FILE *out, const char *line)
{
    fputs("    \"", out);
    for (; *line != '\0'; line++) {
        if (*line == '\n')
            fputs("\\n", out);
        else if (*line == '"' || *line == '\\')
            fprintf(out, "\\%c", *line);
        else
            fputc(*line, out);
    }
    fputs("\"\n", out);
}

static int write_step(FILE *out, const char *path, long expected)
{
    const char *slash = strrchr(path, '/');
    long number = strtol(slash == NULL ? path : slash + 1, NULL, 10);
    FILE *in = fopen(path, "r");
    char line[4096];

    if (in == NULL || number != expected) {
        fprintf(stderr, "embed_sql: %s: unreadable, or not number %ld\n", path,
                expected);
        if (in != NULL)
            fclose(in);
        return 0;
    }
    fprintf(out, "    {%ld,\n", number);
    while (fgets(line, sizeof line, in) != NULL)
        write_quoted(out, line);
    fputs("    },\n", out);
    fclose(in);
    return 1;
}

int main(int argc, char **argv)
{
    FILE *out = argc < 3 ? NULL : fopen(argv[1], "w");
    int is_good = out != NULL;

    if (!is_good) {
        fputs("usage: embed_sql OUTPUT FILE...\n", stderr);
        return 1;
    }
    fputs("#include \"server/db_private.h\"\n\n"
          "const struct db_step db_steps[] = {\n",
          out);
    for (int i = 2; i < argc; i++)
        is_good = is_good && write_step(out, argv[i], i - 1);
    fprintf(out, "};\nconst size_t db_step_count = %d;\n", argc - 2);
    return fclose(out) == 0 && is_good ? 0 : 1;
}
