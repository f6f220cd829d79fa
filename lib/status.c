#include "status.h"

const char *coil_status_name(enum coil_status status)
{
    switch (status) {
#define X(name, number, text)                                                          \
    case name:                                                                         \
        return #name;
        COIL_STATUS_LIST(X)
#undef X
    }
    return "COIL_STATUS_UNKNOWN";
}

const char *coil_status_text(enum coil_status status)
{
    switch (status) {
#define X(name, number, text)                                                          \
    case name:                                                                         \
        return text;
        COIL_STATUS_LIST(X)
#undef X
    }
    return "an unknown result";
}
