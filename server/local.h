/*
 * Commands for whoever has the machine itself, never reachable by HTTP. They work
 * whether the daemon runs or not, and give an exit code of sysexits(3).
 */
#ifndef LOCAL_H
#define LOCAL_H

#include "config.h"

int local_run(const struct config *config);

#endif
