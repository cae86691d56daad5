/*
 * A host in C over termios: opens a port raw at a baud rate, and prints one line for each read: `<epochMs> <hex>`,
 * the time being CLOCK_REALTIME. A speed that termios has no name for is set through the kernel's termios2.
 * use: read-port PATH BAUD [SECONDS [TEXT]]     ends after SECONDS (default: never); TEXT is written first, then CR LF
 * BAUD may be BAUD,BAUD: the other speed is set on SIGUSR2.
 * The first line, printed once the port is set up, is `ready`.
 */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

static long long now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return t.tv_sec * 1000LL + t.tv_nsec / 1000000;
}

static speed_t speed_of(int baud)
{
    switch (baud) {
    case 4800: return B4800;
    case 9600: return B9600;
    case 19200: return B19200;
    case 38400: return B38400;
    case 57600: return B57600;
    case 115200: return B115200;
    case 230400: return B230400;
    case 460800: return B460800;
    case 921600: return B921600;
    default: return B0;
    }
}

/* As in the kernel's asm/termbits.h, which cannot be included beside termios.h. */
struct kernel_termios2 {
    unsigned int iflag, oflag, cflag, lflag;
    unsigned char line, cc[19];
    unsigned int ispeed, ospeed;
};
#define GET_TERMIOS2 _IOR('T', 0x2A, struct kernel_termios2)
#define SET_TERMIOS2 _IOW('T', 0x2B, struct kernel_termios2)
#define SPEED_BITS 0010017u
#define SPEED_BY_NUMBER 0010000u

/* Raw, 8 data bits, at a speed; 0, or -1 with errno. */
static int set_up(int fd, int baud)
{
    struct termios line;
    if (tcgetattr(fd, &line) != 0) return -1;
    cfmakeraw(&line);
    line.c_cflag |= CLOCAL | CREAD;
    if (speed_of(baud) != B0) {
        cfsetspeed(&line, speed_of(baud));
        return tcsetattr(fd, TCSANOW, &line);
    }
    if (tcsetattr(fd, TCSANOW, &line) != 0) return -1;
    struct kernel_termios2 any;
    if (ioctl(fd, GET_TERMIOS2, &any) != 0) return -1;
    any.cflag = (any.cflag & ~(SPEED_BITS | SPEED_BITS << 16)) | SPEED_BY_NUMBER | SPEED_BY_NUMBER << 16;
    any.ispeed = any.ospeed = (unsigned int)baud;
    return ioctl(fd, SET_TERMIOS2, &any);
}

static volatile sig_atomic_t must_change;

static void take_signal(int number)
{
    (void)number;
    must_change = 1;
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "use: read-port PATH BAUD[,BAUD] [SECONDS [TEXT]]\n");
        return 2;
    }
    int baud = 0, later_baud = 0;
    if (sscanf(argv[2], "%d,%d", &baud, &later_baud) < 1 || baud <= 0) {
        fprintf(stderr, "%s: not a speed\n", argv[2]);
        return 2;
    }
    struct sigaction on_signal = {.sa_handler = take_signal};
    sigaction(SIGUSR2, &on_signal, NULL);
    int fd = open(argv[1], O_RDWR | O_NOCTTY);
    if (fd < 0) {
        perror(argv[1]);
        return 1;
    }
    if (set_up(fd, baud) != 0) {
        perror("tcsetattr");
        return 1;
    }
    if (argc > 4) dprintf(fd, "%s\r\n", argv[4]);
    puts("ready");
    fflush(stdout);
    long long end_ms = argc > 3 ? now_ms() + (long long)(atof(argv[3]) * 1000) : -1;
    for (;;) {
        unsigned char bytes[4096];
        struct pollfd what = {fd, POLLIN, 0};
        if (must_change && later_baud > 0) {
            if (set_up(fd, later_baud) != 0) {
                perror("tcsetattr");
                return 1;
            }
            later_baud = 0;
        }
        int wait_ms = end_ms < 0 ? -1 : (int)(end_ms - now_ms());
        if (end_ms >= 0 && wait_ms <= 0) return 0;
        if (later_baud > 0) wait_ms = 5;
        if (poll(&what, 1, wait_ms) <= 0) continue;
        ssize_t count = read(fd, bytes, sizeof bytes);
        if (count < 0 && errno == EINTR) continue;
        if (count <= 0) return 0;
        printf("%lld ", now_ms());
        for (ssize_t i = 0; i < count; i++) printf("%02x", bytes[i]);
        putchar('\n');
        fflush(stdout);
    }
}
