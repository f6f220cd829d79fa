/*
 * Results of the computations in lib/.
 *
 * 0 is fine, negative is refused (outputs untouched), positive is computed, but
 * outside the range that the source of the formula states.
 */
#ifndef COIL_STATUS_H
#define COIL_STATUS_H

#define COIL_STATUS_LIST(X)                                                            \
    X(COIL_OK, 0, "fine")                                                              \
    X(COIL_ERR_NOT_FINITE, -1, "a number is missing or not finite")                    \
    X(COIL_ERR_DOMAIN, -2, "a number is outside what has a meaning here")              \
    X(COIL_ERR_UNKNOWN, -3, "the name is not known")                                   \
    X(COIL_ERR_NO_SOLUTION, -4, "no water has these values together")                  \
    X(COIL_WARN_RANGE, 1, "computed outside the range that the source states")

enum coil_status {
#define X(name, number, text) name = number,
    COIL_STATUS_LIST(X)
#undef X
};

/* Name as written in the tables ("COIL_ERR_DOMAIN"); lives as long as the program. */
const char *coil_status_name(enum coil_status status);

/* One sentence part for people; lives as long as the program. */
const char *coil_status_text(enum coil_status status);

#endif
