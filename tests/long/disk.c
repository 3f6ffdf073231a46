/*
 * Preloaded into the service: sees every write and sync of its database, and does with them what a test asks for.
 *   DISK_UNDER    the data folder
 *   DISK_TRACE    a file that gets a record of each operation, with what was written
 *   DISK_FAIL     "write:N" or "sync:N": the Nth of them is not done and answered with EIO, once
 *   DISK_SYNC_MS  each sync takes so much longer
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <time.h>
#include <unistd.h>

enum { WRITE = 1, SYNC = 2, TRUNCATE = 3 };
enum { UNKNOWN = 0, OTHER = 1, MAIN = 2, LOG = 3 };

struct record {
  uint8_t op, file, failed, unused;
  uint32_t length;
  uint64_t offset;
  uint64_t began_ns;
};

#define FILES 65536
static unsigned char known[FILES];
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static int trace = -1;
static long writes, syncs, fail_write, fail_sync, sync_ms;
static char main_name[4096], log_name[4096];

__attribute__((constructor)) static void begin(void) {
  const char *under = getenv("DISK_UNDER"), *to = getenv("DISK_TRACE"), *fail = getenv("DISK_FAIL");
  const char *slow = getenv("DISK_SYNC_MS");
  if (under) {
    snprintf(main_name, sizeof main_name, "%s/ullage.sqlite", under);
    snprintf(log_name, sizeof log_name, "%s/ullage.sqlite-wal", under);
  }
  if (to) trace = open(to, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
  if (fail && sscanf(fail, "write:%ld", &fail_write) != 1) sscanf(fail, "sync:%ld", &fail_sync);
  if (slow) sync_ms = atol(slow);
}

static int file_of(int fd) {
  char link[64], name[4096];
  if (fd < 0 || fd >= FILES || !main_name[0]) return OTHER;
  if (known[fd] == UNKNOWN) {
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, name, sizeof name - 1);
    if (length < 0) return OTHER;
    name[length] = 0;
    known[fd] = !strcmp(name, main_name) ? MAIN : !strcmp(name, log_name) ? LOG : OTHER;
  }
  return known[fd];
}

static uint64_t now_ns(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (uint64_t)t.tv_sec * 1000000000u + (uint64_t)t.tv_nsec;
}

static void put(const void *bytes, size_t length) {
  while (length > 0) {
    ssize_t done = syscall(SYS_write, trace, bytes, length);
    if (done <= 0) abort();
    bytes = (const char *)bytes + done;
    length -= (size_t)done;
  }
}

static void note(int op, int file, uint64_t began_ns, uint64_t offset, const void *data, size_t length, int failed) {
  if (trace < 0) return;
  struct record r = {(uint8_t)op, (uint8_t)file, (uint8_t)failed, 0, (uint32_t)length, offset, began_ns};
  pthread_mutex_lock(&lock);
  put(&r, sizeof r);
  if (length) put(data, length);
  pthread_mutex_unlock(&lock);
}

static int fails(long *count, long at) {
  if (++*count != at) return 0;
  errno = EIO;
  return 1;
}

static ssize_t write_at(int fd, const void *data, size_t length, off_t offset) {
  int file = file_of(fd);
  if (file < MAIN) return syscall(SYS_pwrite64, fd, data, length, offset);
  uint64_t began = now_ns();
  if (fails(&writes, fail_write)) return note(WRITE, file, began, (uint64_t)offset, NULL, 0, 1), -1;
  ssize_t done = syscall(SYS_pwrite64, fd, data, length, offset);
  if (done > 0) note(WRITE, file, began, (uint64_t)offset, data, (size_t)done, 0);
  return done;
}

static int sync_now(int fd, long number) {
  int file = file_of(fd);
  if (file < MAIN) return (int)syscall(number, fd);
  uint64_t began = now_ns();
  if (fails(&syncs, fail_sync)) return note(SYNC, file, began, 0, NULL, 0, 1), -1;
  if (sync_ms) usleep((useconds_t)sync_ms * 1000);
  int answer = (int)syscall(number, fd);
  if (answer == 0) note(SYNC, file, began, 0, NULL, 0, 0);
  return answer;
}

static int cut_to(int fd, off_t length) {
  int file = file_of(fd);
  uint64_t began = now_ns();
  int answer = (int)syscall(SYS_ftruncate, fd, length);
  if (answer == 0 && file >= MAIN) note(TRUNCATE, file, began, (uint64_t)length, NULL, 0, 0);
  return answer;
}

ssize_t pwrite(int fd, const void *data, size_t length, off_t offset) { return write_at(fd, data, length, offset); }
ssize_t pwrite64(int fd, const void *data, size_t length, off_t offset) { return write_at(fd, data, length, offset); }
ssize_t write(int fd, const void *data, size_t length) {
  if (file_of(fd) < MAIN) return syscall(SYS_write, fd, data, length);
  off_t offset = lseek(fd, 0, SEEK_CUR);
  ssize_t done = write_at(fd, data, length, offset);
  if (done > 0) lseek(fd, offset + done, SEEK_SET);
  return done;
}
int fsync(int fd) { return sync_now(fd, SYS_fsync); }
int fdatasync(int fd) { return sync_now(fd, SYS_fdatasync); }
int ftruncate(int fd, off_t length) { return cut_to(fd, length); }
int ftruncate64(int fd, off_t length) { return cut_to(fd, length); }

int close(int fd) {
  if (fd >= 0 && fd < FILES) known[fd] = UNKNOWN;
  return (int)syscall(SYS_close, fd);
}
