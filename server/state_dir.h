/*
 * The state folder: made with mode 0700, and locked so that one daemon uses it.
 */
#ifndef STATE_DIR_H
#define STATE_DIR_H

#include <stddef.h>

enum state_dir_status {
    STATE_DIR_OK,
    STATE_DIR_TOO_LONG,
    STATE_DIR_UNWRITABLE, /* errno says why */
    STATE_DIR_TAKEN       /* another daemon has it */
};

/* Makes the folder with its parents, writes its absolute path to out_path, and locks
 * it. out_lock_fd stays open as long as the daemon runs. */
enum state_dir_status state_dir_open(const char *path, char *out_path, size_t size,
                                     int *out_lock_fd);

#endif
