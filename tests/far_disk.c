/* A disk at the other end of a slow line, for one program: preloaded, it counts every call about a file below FAR_ROOT,
   lets each wait FAR_MS milliseconds, and has all of them fail with the error FAR_ERROR after the first FAR_LAST, and
   with the error whose number it holds as soon as the file FAR_CUT is there. The names of the calls go into the file
   FAR_TOLD, one a line. */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#define MOST 65536

static char is_far[MOST]; /* descriptors of files below the root */
static const char *root, *cut;
static size_t length;
static long ms, last = -1, calls;
static int told = -1;

__attribute__((constructor)) static void begin(void) {
    const char *wait = getenv("FAR_MS"), *names = getenv("FAR_TOLD");
    root = getenv("FAR_ROOT");
    cut = getenv("FAR_CUT");
    length = root ? strlen(root) : 0;
    ms = wait ? atol(wait) : 0;
    if (getenv("FAR_LAST")) last = atol(getenv("FAR_LAST"));
    if (names) told = syscall(SYS_openat, AT_FDCWD, names, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
}

static int below(const char *path) {
    return root && path && !strncmp(path, root, length) && (!path[length] || path[length] == '/');
}

static int of(int folder, const char *path) {
    return (path && path[0] == '/') ? below(path) : folder >= 0 && folder < MOST && is_far[folder];
}

static int of_descriptor(int fd) { return fd >= 0 && fd < MOST && is_far[fd]; }

/* The way there and back; not 0 where the line is cut, with errno set. */
static int went(const char *name) {
    struct timespec wait = {ms / 1000, ms % 1000 * 1000000};
    char line[64], number[16] = "";
    size_t size = strlen(name);
    int descriptor;
    memcpy(line, name, size);
    line[size] = '\n';
    if (told >= 0 && syscall(SYS_write, told, line, size + 1) < 0) abort();
    if (last >= 0 && __sync_add_and_fetch(&calls, 1) > last) {
        errno = atoi(getenv("FAR_ERROR"));
        return -1;
    }
    if (cut && (descriptor = syscall(SYS_openat, AT_FDCWD, cut, O_RDONLY)) >= 0) {
        if (syscall(SYS_read, descriptor, number, sizeof number - 1) < 0) abort();
        syscall(SYS_close, descriptor);
        errno = atoi(number);
        return -1;
    }
    if (ms) nanosleep(&wait, NULL);
    return 0;
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

#define BY_PATH(kind, name, parameters, arguments, far)          \
    kind name parameters {                                       \
        if (far && went(#name)) return (kind)-1;                 \
        return REAL(name) arguments;                             \
    }

#define OPENS(name)                                              \
    int name(const char *path, int flags, ...) {                 \
        va_list rest;                                            \
        va_start(rest, flags);                                   \
        mode_t mode = va_arg(rest, int);                         \
        va_end(rest);                                            \
        int far = below(path);                                   \
        if (far && went("open")) return -1;                      \
        int fd = REAL(name)(path, flags, mode);                  \
        if (fd >= 0 && fd < MOST) is_far[fd] = far;              \
        return fd;                                               \
    }
OPENS(open)
OPENS(open64)

#define OPENS_AT(name)                                           \
    int name(int folder, const char *path, int flags, ...) {     \
        va_list rest;                                            \
        va_start(rest, flags);                                   \
        mode_t mode = va_arg(rest, int);                         \
        va_end(rest);                                            \
        int far = of(folder, path);                              \
        if (far && went("open")) return -1;                      \
        int fd = REAL(name)(folder, path, flags, mode);          \
        if (fd >= 0 && fd < MOST) is_far[fd] = far;              \
        return fd;                                               \
    }
OPENS_AT(openat)
OPENS_AT(openat64)

int close(int fd) {
    int far = of_descriptor(fd), failed = far && went("close"), error = errno;
    if (fd >= 0 && fd < MOST) is_far[fd] = 0;
    int done = REAL(close)(fd);
    if (failed) errno = error;
    return failed ? -1 : done;
}

DIR *opendir(const char *path) {
    if (below(path) && went("opendir")) return NULL;
    return REAL(opendir)(path);
}

#define LOCKS(name)                                              \
    int name(int fd, int what, ...) {                            \
        va_list rest;                                            \
        va_start(rest, what);                                    \
        void *with = va_arg(rest, void *);                       \
        va_end(rest);                                            \
        int locks = what == F_SETLK || what == F_SETLKW || what == F_GETLK; \
        if (locks && of_descriptor(fd) && went("lock")) return -1; \
        return REAL(name)(fd, what, with);                       \
    }
LOCKS(fcntl)
LOCKS(fcntl64)

BY_PATH(int, stat, (const char *path, struct stat *found), (path, found), below(path))
BY_PATH(int, stat64, (const char *path, struct stat64 *found), (path, found), below(path))
BY_PATH(int, lstat, (const char *path, struct stat *found), (path, found), below(path))
BY_PATH(int, lstat64, (const char *path, struct stat64 *found), (path, found), below(path))
BY_PATH(int, fstatat, (int at, const char *path, struct stat *found, int how), (at, path, found, how), of(at, path))
BY_PATH(int, fstatat64, (int at, const char *path, struct stat64 *found, int how), (at, path, found, how), of(at, path))
BY_PATH(int, fstat, (int fd, struct stat *found), (fd, found), of_descriptor(fd))
BY_PATH(int, fstat64, (int fd, struct stat64 *found), (fd, found), of_descriptor(fd))
BY_PATH(int, access, (const char *path, int how), (path, how), below(path))
BY_PATH(int, mkdir, (const char *path, mode_t mode), (path, mode), below(path))
BY_PATH(int, rmdir, (const char *path), (path), below(path))
BY_PATH(int, unlink, (const char *path), (path), below(path))
BY_PATH(int, unlinkat, (int at, const char *path, int how), (at, path, how), of(at, path))
BY_PATH(int, rename, (const char *path, const char *to), (path, to), below(path))
BY_PATH(int, link, (const char *path, const char *to), (path, to), below(path))
BY_PATH(ssize_t, readlink, (const char *path, char *to, size_t most), (path, to, most), below(path))
BY_PATH(int, chmod, (const char *path, mode_t mode), (path, mode), below(path))
BY_PATH(int, fchmodat, (int at, const char *path, mode_t mode, int how), (at, path, mode, how), of(at, path))
BY_PATH(int, truncate, (const char *path, off_t size), (path, size), below(path))
BY_PATH(int, ftruncate, (int fd, off_t size), (fd, size), of_descriptor(fd))
BY_PATH(int, ftruncate64, (int fd, off64_t size), (fd, size), of_descriptor(fd))
BY_PATH(int, fsync, (int fd), (fd), of_descriptor(fd))
BY_PATH(int, fdatasync, (int fd), (fd), of_descriptor(fd))
BY_PATH(int, flock, (int fd, int how), (fd, how), of_descriptor(fd))
BY_PATH(ssize_t, read, (int fd, void *to, size_t most), (fd, to, most), of_descriptor(fd))
BY_PATH(ssize_t, write, (int fd, const void *from, size_t size), (fd, from, size), of_descriptor(fd))
BY_PATH(ssize_t, pread, (int fd, void *to, size_t most, off_t at), (fd, to, most, at), of_descriptor(fd))
BY_PATH(ssize_t, pread64, (int fd, void *to, size_t most, off64_t at), (fd, to, most, at), of_descriptor(fd))
BY_PATH(ssize_t, pwrite, (int fd, const void *from, size_t size, off_t at), (fd, from, size, at), of_descriptor(fd))
BY_PATH(ssize_t, pwrite64, (int fd, const void *from, size_t size, off64_t at), (fd, from, size, at), of_descriptor(fd))
