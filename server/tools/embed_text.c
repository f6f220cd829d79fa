/*
 * Turns one text file into a text in C, with a tag made from its bytes.
 *
 * embed_text OUTPUT NAME FILE: makes `const char NAME_text[]` and `NAME_etag[]`.
 */
#include <stdint.h>
#include <stdio.h>

/* FNV-1a (http://www.isthe.com/chongo/tech/comp/fnv), enough to tell versions apart. */
static uint64_t hash_byte(uint64_t hash, int byte)
{
    return (hash ^ (uint64_t)byte) * UINT64_C(1099511628211);
}

static void write_byte(FILE *out, int byte)
{
    if (byte == '\n')
        fputs("\\n\"\n    \"", out);
    else if (byte == '"' || byte == '\\')
        fprintf(out, "\\%c", byte);
    else
        fputc(byte, out);
}

int main(int argc, char **argv)
{
    FILE *in = argc == 4 ? fopen(argv[3], "rb") : NULL;
    FILE *out = in == NULL ? NULL : fopen(argv[1], "w");
    uint64_t hash = UINT64_C(14695981039346656037);
    int byte;

    if (out == NULL) {
        fputs("usage: embed_text OUTPUT NAME FILE\n", stderr);
        return 1;
    }
    fprintf(out, "extern const char %s_text[], %s_etag[];\nconst char %s_text[] =\n    \"",
            argv[2], argv[2], argv[2]);
    while ((byte = fgetc(in)) != EOF) {
        hash = hash_byte(hash, byte);
        write_byte(out, byte);
    }
    fprintf(out, "\";\nconst char %s_etag[] = \"\\\"%016llx\\\"\";\n", argv[2],
            (unsigned long long)hash);
    return ferror(in) || fclose(in) != 0 || fclose(out) != 0;
}
