/*
 * Build tool: writes a C file with the pages and what they load.
 *
 *     embed WEB_FOLDER OUTPUT.c DEPFILE
 *
 * Takes every file of WEB_FOLDER and its js/ and icons/ whose ending is known, except
 * what only tools read, and the vendor files of asset_names.h. Beside each stands its
 * gzip form where that is smaller, and a hash of its bytes as entity tag. From our own
 * scripts and styles the comments that fill lines of their own and the white space before
 * lines are left out (no text of ours spans lines; a test sees to that); the lines stay, so
 * that an error's line number is that of the source.
 */
#define _GNU_SOURCE /* memmem */
#include <dirent.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>
#include <zlib.h>

#include "server/tools/asset_names.h"

#define FILES_MAX 256
#define PATH_SIZE 512

struct file {
    char url[PATH_SIZE];
    char short_url[PATH_SIZE]; /* "" for none */
    char path[PATH_SIZE];
    unsigned char *bytes;
    size_t length;
    unsigned char *packed;
    size_t packed_length;
    char hash[33];
};

static struct file files[FILES_MAX];
static size_t file_count;

static void stop(const char *what, const char *which)
{
    fprintf(stderr, "embed: %s: %s\n", what, which);
    exit(1);
}

static void read_file(struct file *file)
{
    FILE *stream = fopen(file->path, "rb");
    long length = 0;

    if (stream == NULL || fseek(stream, 0, SEEK_END) != 0 ||
        (length = ftell(stream)) < 0)
        stop("cannot read", file->path);
    rewind(stream);
    file->length = (size_t)length;
    file->bytes = malloc(file->length + 1);
    if (file->bytes == NULL ||
        fread(file->bytes, 1, file->length, stream) != file->length)
        stop("cannot read", file->path);
    fclose(stream);
}

static bool is_blank(const char *from, const char *until)
{
    while (from < until && strchr(" \t\r", *from) != NULL)
        from++;
    return from == until;
}

static bool has_ending(const char *path, const char *ending)
{
    size_t length = strlen(path), tail = strlen(ending);

    return length > tail && strcmp(path + length - tail, ending) == 0;
}

/* Leaves out comments on lines of their own; one with code behind it (a cast) stays. Over
 * several lines it must end its last: else the build stops. */
static void leave_out_comments(struct file *file)
{
    char *text = (char *)file->bytes, *out = text, *line = text, *next;
    char *end = text + file->length;
    bool inside = false;

    if (!has_ending(file->path, ".js") && !has_ending(file->path, ".css"))
        return;
    for (; line < end; line = next) {
        char *newline = memchr(line, '\n', (size_t)(end - line));
        char *stop_at = newline != NULL ? newline : end;
        char *start = line, *close;

        next = newline != NULL ? newline + 1 : end;
        while (start < stop_at && (*start == ' ' || *start == '\t'))
            start++;
        if (!inside && !(stop_at - start >= 2 && memcmp(start, "/*", 2) == 0)) {
            memmove(out, start, (size_t)(next - start));
            out += next - start;
            continue;
        }
        if (!inside)
            start += 2;
        close = memmem(start, (size_t)(stop_at - start), "*/", 2);
        if (close != NULL && !is_blank(close + 2, stop_at)) {
            if (inside)
                stop("code behind a comment of several lines", file->path);
            memmove(out, line, (size_t)(next - line));
            out += next - line;
            continue;
        }
        inside = close == NULL;
        if (newline != NULL)
            *out++ = '\n';
    }
    file->length = (size_t)(out - text);
}

/* zlib writes no time into the header, so equal input gives equal output. */
static void pack_file(struct file *file)
{
    z_stream stream = {0};
    uLong bound;

    if (deflateInit2(&stream, 9, Z_DEFLATED, 15 + 16, 9, Z_DEFAULT_STRATEGY) != Z_OK)
        stop("zlib fails", file->path);
    bound = deflateBound(&stream, (uLong)file->length);
    file->packed = malloc(bound);
    if (file->packed == NULL)
        stop("no memory", file->path);
    stream.next_in = file->bytes;
    stream.avail_in = (uInt)file->length;
    stream.next_out = file->packed;
    stream.avail_out = (uInt)bound;
    if (deflate(&stream, Z_FINISH) != Z_STREAM_END)
        stop("zlib fails", file->path);
    file->packed_length = stream.total_out;
    deflateEnd(&stream);
    if (file->packed_length >= file->length)
        file->packed_length = 0;
}

static void hash_file(struct file *file)
{
    unsigned char hash[crypto_hash_sha256_BYTES];

    crypto_hash_sha256(hash, file->bytes, file->length);
    for (size_t i = 0; i < 16; i++)
        snprintf(file->hash + i * 2, 3, "%02x", hash[i]);
}

static struct file *add_file(const char *url, const char *path, bool is_ours)
{
    struct file *file;

    if (file_count == FILES_MAX)
        stop("too many files", path);
    file = &files[file_count++];
    snprintf(file->url, sizeof file->url, "%s", url);
    snprintf(file->path, sizeof file->path, "%s", path);
    read_file(file);
    if (is_ours)
        leave_out_comments(file);
    pack_file(file);
    hash_file(file);
    return file;
}

/* What lies in web/ for tools, not for browsers. */
static bool is_for_tools(const char *name)
{
    return strncmp(name, "package", 7) == 0 || strncmp(name, "tsconfig", 8) == 0 ||
           name[0] == '.';
}

static void add_folder(const char *web, const char *below)
{
    char folder[PATH_SIZE];
    char inside[PATH_SIZE];
    char path[PATH_SIZE];
    char url[PATH_SIZE];
    struct dirent *entry;
    struct file *file;
    DIR *stream;

    snprintf(folder, sizeof folder, "%s%s%s", web, below[0] ? "/" : "", below);
    stream = opendir(folder);
    if (stream == NULL)
        return; /* icons/ need not be there */
    while ((entry = readdir(stream)) != NULL) {
        if (is_for_tools(entry->d_name) || asset_content_type(entry->d_name) == NULL)
            continue;
        snprintf(inside, sizeof inside, "%.200s%s%.255s", below, below[0] ? "/" : "",
                 entry->d_name);
        if (snprintf(path, sizeof path, "%s/%s", web, inside) >= (int)sizeof path)
            stop("path too long", inside);
        snprintf(url, sizeof url, "/%.500s", inside);
        file = add_file(url, path, true);
        asset_short_url(inside, file->short_url, sizeof file->short_url);
    }
    closedir(stream);
}

static void add_vendor_files(const char *web)
{
    static const char *const vendor[][2] = ASSET_VENDOR_FILES;
    char path[PATH_SIZE];

    for (size_t i = 0; i < sizeof vendor / sizeof vendor[0]; i++) {
        FILE *stream;

        snprintf(path, sizeof path, "%s/%s", web, vendor[i][1]);
        stream = fopen(path, "rb");
        if (stream == NULL) {
            fprintf(stderr, "embed: %s is missing, charts will not work\n", path);
            continue;
        }
        fclose(stream);
        add_file(vendor[i][0], path, false);
    }
}

/* What a URL leads to. Pages have two. */
struct entry {
    const char *url;
    size_t file;
};

static struct entry entries[FILES_MAX * 2];
static size_t entry_count;

static int compare_entries(const void *left, const void *right)
{
    return strcmp(((const struct entry *)left)->url,
                  ((const struct entry *)right)->url);
}

static void list_entries(void)
{
    for (size_t i = 0; i < file_count; i++) {
        entries[entry_count++] = (struct entry){files[i].url, i};
        if (files[i].short_url[0] != '\0')
            entries[entry_count++] = (struct entry){files[i].short_url, i};
    }
    qsort(entries, entry_count, sizeof entries[0], compare_entries);
}

static void write_bytes(FILE *out, const char *name, size_t index,
                        const unsigned char *bytes, size_t length)
{
    fprintf(out, "static const unsigned char %s_%zu[] = {", name, index);
    for (size_t i = 0; i < length; i++)
        fprintf(out, "%s%u,", i % 24 ? "" : "\n", bytes[i]);
    fprintf(out, "%s};\n", length ? "" : "0");
}

static void write_source(FILE *out)
{
    fprintf(out,
            "/* Made by server/tools/embed.c. */\n#include \"server/assets.h\"\n\n");
    for (size_t i = 0; i < file_count; i++) {
        write_bytes(out, "plain", i, files[i].bytes, files[i].length);
        if (files[i].packed_length > 0)
            write_bytes(out, "packed", i, files[i].packed, files[i].packed_length);
    }
    fprintf(out, "const size_t assets_count = %zu;\n", entry_count);
    fprintf(out, "const struct asset assets_table[] = {\n");
    for (size_t i = 0; i < entry_count; i++) {
        const struct file *file = &files[entries[i].file];

        fprintf(out, "{\"%s\", \"%s\", \"\\\"%s\\\"\", plain_%zu, %zu, ",
                entries[i].url, asset_content_type(file->path), file->hash,
                entries[i].file, file->length);
        if (file->packed_length > 0)
            fprintf(out, "packed_%zu, %zu, \"\\\"%s-gz\\\"\"},\n", entries[i].file,
                    file->packed_length, file->hash);
        else
            fprintf(out, "NULL, 0, NULL},\n");
    }
    fprintf(out, "{NULL, NULL, NULL, NULL, 0, NULL, 0, NULL}};\n");
}

/* Folders stand in the list too, so that a new file makes a new build. */
static void write_depfile(FILE *out, const char *output, const char *web)
{
    fprintf(out, "%s: %s %s/js", output, web, web);
    for (size_t i = 0; i < file_count; i++)
        fprintf(out, " %s", files[i].path);
    fprintf(out, "\n");
}

int main(int argc, char **argv)
{
    FILE *source;
    FILE *depfile;

    if (argc != 4)
        stop("usage", "embed WEB_FOLDER OUTPUT.c DEPFILE");
    add_folder(argv[1], "");
    add_folder(argv[1], "js");
    add_folder(argv[1], "icons");
    add_vendor_files(argv[1]);
    list_entries();
    source = fopen(argv[2], "w");
    depfile = fopen(argv[3], "w");
    if (source == NULL || depfile == NULL)
        stop("cannot write", argv[2]);
    write_source(source);
    write_depfile(depfile, argv[2], argv[1]);
    if (fclose(source) != 0 || fclose(depfile) != 0)
        stop("cannot write", argv[2]);
    return 0;
}
