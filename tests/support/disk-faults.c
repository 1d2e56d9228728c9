// Put before a server by LD_PRELOAD. Writes down, in the file that DISK_LOG names, in what order the server writes lines
// into the log of its store ("w" and their sequences), has them on disk ("s"), and acknowledges ("a" and the sequence);
// and lets the disk behave as the file that DISK_FAULT names says: "full", "read-only" or "slow".
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

static pthread_mutex_t turn = PTHREAD_MUTEX_INITIALIZER;

static void note(const char *text, size_t length) {
  static int log = -2;
  pthread_mutex_lock(&turn);
  if (log == -2) {
    const char *name = getenv("DISK_LOG");
    log = name ? open(name, O_WRONLY | O_APPEND | O_CREAT, 0600) : -1;
  }
  if (log >= 0 && syscall(SYS_write, log, text, length) < 0) abort();
  pthread_mutex_unlock(&turn);
}

// Whether a descriptor is of the store's file ("wheelgram.db") or, with an ending, of one beside it.
static int is_store(int fd, const char *ending) {
  char link[64], path[512];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length < 0) return 0;
  path[length] = 0;
  const char *name = strstr(path, "wheelgram.db");
  return name != NULL && strcmp(name + strlen("wheelgram.db"), ending) == 0;
}

static int behaves(const char *how) {
  const char *name = getenv("DISK_FAULT");
  char text[32] = "";
  int fd = name ? open(name, O_RDONLY) : -1;
  if (fd < 0) return 0;
  ssize_t length = read(fd, text, sizeof text - 1);
  close(fd);
  return length > 0 && strncmp(text, how, strlen(how)) == 0;
}

static int refused(int fd) {
  if (!is_store(fd, "-wal") && !is_store(fd, "")) return 0;
  if (behaves("full")) return errno = ENOSPC, 1;
  if (behaves("read-only")) return errno = EROFS, 1;
  return 0;
}

static void note_lines(int fd, const char *bytes, size_t count) {
  static const char key[] = "\"sequence\":";
  if (!is_store(fd, "-wal")) return;
  const char *at = bytes, *end = bytes + count;
  while ((at = memmem(at, end - at, key, sizeof key - 1))) {
    char text[32];
    at += sizeof key - 1;
    long sequence = 0;
    while (at < end && *at >= '0' && *at <= '9') sequence = 10 * sequence + (*at++ - '0');
    if (at < end && *at == ',') note(text, snprintf(text, sizeof text, "w %ld\n", sequence)); // whole in this page
  }
}

static void note_answer(const char *bytes, size_t count) {
  static const char key[] = "\"type\":\"ack\",\"sequence\":";
  const char *at = bytes;
  while ((at = memmem(at, bytes + count - at, key, sizeof key - 1))) {
    char text[32];
    at += sizeof key - 1;
    note(text, snprintf(text, sizeof text, "a %ld\n", strtol(at, NULL, 10)));
  }
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int fd, const void *bytes, size_t count) {
  if (refused(fd)) return -1;
  note_lines(fd, bytes, count);
  note_answer(bytes, count);
  return REAL(write)(fd, bytes, count);
}

ssize_t writev(int fd, const struct iovec *parts, int count) {
  for (int i = 0; i < count; i++) note_answer(parts[i].iov_base, parts[i].iov_len);
  return REAL(writev)(fd, parts, count);
}

ssize_t sendmsg(int fd, const struct msghdr *message, int flags) {
  for (size_t i = 0; i < message->msg_iovlen; i++) note_answer(message->msg_iov[i].iov_base, message->msg_iov[i].iov_len);
  return REAL(sendmsg)(fd, message, flags);
}

ssize_t pwrite(int fd, const void *bytes, size_t count, off_t offset) {
  if (refused(fd)) return -1;
  note_lines(fd, bytes, count);
  return REAL(pwrite)(fd, bytes, count, offset);
}

ssize_t pwrite64(int fd, const void *bytes, size_t count, off64_t offset) {
  if (refused(fd)) return -1;
  note_lines(fd, bytes, count);
  return REAL(pwrite64)(fd, bytes, count, offset);
}

static int synced(int fd, int result) {
  if (is_store(fd, "-wal")) {
    if (behaves("slow")) usleep(150000);
    if (result == 0) note("s\n", 2);
  }
  return result;
}

int fsync(int fd) { return synced(fd, REAL(fsync)(fd)); }
int fdatasync(int fd) { return synced(fd, REAL(fdatasync)(fd)); }
