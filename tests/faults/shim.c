/* What a disk has promised, kept aside: a file as it was at its last fsync or fdatasync, and nothing younger.
 *
 * Loaded before libc (LD_PRELOAD). WATCHED is a folder, SHADOW another; after each real sync of a file that lies in
 * the first, its bytes are copied into the second. A lock makes two processes that sync one file copy it in turn, and
 * the copy gets its name when it is whole, so a process killed meanwhile leaves the promise before.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

static void keep(int fd) {
    const char *watched = getenv("WATCHED"), *shadow = getenv("SHADOW");
    char link[64], path[PATH_MAX], lock[PATH_MAX], part[PATH_MAX], whole[PATH_MAX];
    char block[1 << 16];
    if (!watched || !shadow) return;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return;
    path[length] = 0;
    size_t head = strlen(watched);
    if (strncmp(path, watched, head) || path[head] != '/' || strchr(path + head + 1, '/')) return;
    const char *name = path + head + 1;
    if (snprintf(lock, sizeof lock, "%s/.lock", shadow) >= (int)sizeof lock) abort();
    if (snprintf(part, sizeof part, "%s/.%s", shadow, name) >= (int)sizeof part) abort();
    if (snprintf(whole, sizeof whole, "%s/%s", shadow, name) >= (int)sizeof whole) abort();
    int turn = open(lock, O_CREAT | O_RDWR | O_CLOEXEC, 0600);
    /* The file is read by the descriptor there is: closing a second one would drop SQLite's locks on it (POSIX). */
    if (turn < 0 || flock(turn, LOCK_EX)) abort();
    int to = open(part, O_CREAT | O_TRUNC | O_WRONLY | O_CLOEXEC, 0600);
    if (to < 0) abort();
    off_t at = 0;
    for (ssize_t got; (got = pread(fd, block, sizeof block, at)) > 0; at += got)
        if (write(to, block, got) != got) abort();
    close(to);
    if (rename(part, whole)) abort();
    close(turn);
}

int fsync(int fd) {
    static int (*real)(int);
    if (!real) real = (int (*)(int))dlsym(RTLD_NEXT, "fsync");
    int done = real(fd);
    if (!done) keep(fd);
    return done;
}

int fdatasync(int fd) {
    static int (*real)(int);
    if (!real) real = (int (*)(int))dlsym(RTLD_NEXT, "fdatasync");
    int done = real(fd);
    if (!done) keep(fd);
    return done;
}
