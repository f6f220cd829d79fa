/*
 * Which file answers which URL, and as what: shared by the tool that embeds the pages
 * and by the daemon's development mode.
 */
#ifndef ASSET_NAMES_H
#define ASSET_NAMES_H

#include <stddef.h>
#include <stdio.h>
#include <string.h>

static inline const char *asset_content_type(const char *file)
{
    static const char *const types[][2] = {
        {".html", "text/html; charset=utf-8"},
        {".css", "text/css; charset=utf-8"},
        {".js", "text/javascript; charset=utf-8"},
        {".json", "application/json"},
        {".webmanifest", "application/manifest+json"},
        {".svg", "image/svg+xml"},
        {".png", "image/png"},
        {".ico", "image/x-icon"},
    };
    const char *ending = strrchr(file, '.');

    for (size_t i = 0; ending != NULL && i < sizeof types / sizeof types[0]; i++)
        if (strcmp(ending, types[i][0]) == 0)
            return types[i][1];
    return NULL;
}

/* "index.html" -> "/", "readings.html" -> "/readings": pages have a short name beside
 * that of their file. False for other files. */
static inline int asset_short_url(const char *file, char *out, size_t size)
{
    const char *ending = strrchr(file, '.');

    if (ending == NULL || strcmp(ending, ".html") != 0)
        return 0;
    if (strcmp(file, "index.html") == 0)
        snprintf(out, size, "/");
    else
        snprintf(out, size, "/%.*s", (int)(ending - file), file);
    return 1;
}

/* Files outside web/ that pages load: URL and place below web/. */
#define ASSET_VENDOR_FILES                                                             \
    {                                                                                  \
        {"/vendor/uPlot.iife.min.js", "node_modules/uplot/dist/uPlot.iife.min.js"},    \
            {"/vendor/uPlot.min.css", "node_modules/uplot/dist/uPlot.min.css"},        \
    }

#endif
