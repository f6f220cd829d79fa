/*
 * Who runs us. The daemon answers strangers of the home network and needs no right that
 * root has, so it refuses root. A command that works on the data folder beside a running
 * daemon must leave files there that the daemon can read, so root becomes the folder's
 * owner for it. What touches no data (--help, --version) anybody may run.
 */
#ifndef USER_H
#define USER_H

enum user_status {
    USER_OK,
    USER_NO_FOLDER, /* errno says why */
    USER_ROOTS,     /* the folder is root's own */
    USER_STUCK      /* the change of user failed; errno says why */
};

/* Nothing to do for anybody but root. */
enum user_status user_become_owner(const char *folder);

#endif
