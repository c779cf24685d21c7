/* Stands before the C library and cuts a program short at one of its changes of files:
 * CUT_AT=n, CUT_HOW=kill (before the n-th change), once=ERRNO (that one fails) or
 * from=ERRNO (that one and all after it fail). CUT_LEFT names a file for the number of changes. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

static long changes;

static int cut(void) {
    const char *at = getenv("CUT_AT"), *how = getenv("CUT_HOW");
    long n = __atomic_add_fetch(&changes, 1, __ATOMIC_SEQ_CST);
    if (!at || !how || n < atol(at)) return 0;
    if (!strcmp(how, "kill")) kill(getpid(), SIGKILL);
    if (!strncmp(how, "once=", 5) && n > atol(at)) return 0;
    errno = atoi(how + 5);
    return 1;
}

__attribute__((destructor)) static void left(void) {
    const char *name = getenv("CUT_LEFT");
    FILE *file = name ? fopen(name, "w") : 0;
    if (file) fprintf(file, "%ld", changes), fclose(file);
}

#define NEXT(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))
#define CHANGE(type, name, arguments, given)                                                   \
    type name arguments {                                                                      \
        if (cut()) return -1;                                                                  \
        return NEXT(name) given;                                                               \
    }

CHANGE(int, rename, (const char *a, const char *b), (a, b))
CHANGE(int, renameat, (int x, const char *a, int y, const char *b), (x, a, y, b))
CHANGE(int, renameat2, (int x, const char *a, int y, const char *b, unsigned f), (x, a, y, b, f))
CHANGE(int, link, (const char *a, const char *b), (a, b))
CHANGE(int, linkat, (int x, const char *a, int y, const char *b, int f), (x, a, y, b, f))
CHANGE(int, unlink, (const char *a), (a))
CHANGE(int, unlinkat, (int x, const char *a, int f), (x, a, f))
CHANGE(int, rmdir, (const char *a), (a))
CHANGE(int, mkdir, (const char *a, mode_t m), (a, m))
CHANGE(int, mkdirat, (int x, const char *a, mode_t m), (x, a, m))
CHANGE(int, fchmod, (int x, mode_t m), (x, m))
CHANGE(int, ftruncate64, (int x, off64_t n), (x, n))
CHANGE(int, fsync, (int x), (x))
CHANGE(int, fdatasync, (int x), (x))

ssize_t write(int x, const void *a, size_t n) {
    /* Words to the terminal or a pipe are no change of a file. */
    struct stat found;
    if (x > 2 && !fstat(x, &found) && S_ISREG(found.st_mode) && cut()) return -1;
    return NEXT(write)(x, a, n);
}

#define OPEN(name, before, given)                                                              \
    int name(before const char *a, int f, ...) {                                               \
        mode_t m = 0;                                                                          \
        if (f & O_CREAT) {                                                                     \
            va_list rest;                                                                      \
            va_start(rest, f);                                                                 \
            m = va_arg(rest, mode_t);                                                          \
            va_end(rest);                                                                      \
        }                                                                                      \
        if ((f & (O_CREAT | O_TRUNC)) && cut()) return -1;                                     \
        return NEXT(name) given;                                                               \
    }
#define AT int x,
OPEN(open, , (a, f, m))
OPEN(open64, , (a, f, m))
OPEN(openat, AT, (x, a, f, m))
OPEN(openat64, AT, (x, a, f, m))
