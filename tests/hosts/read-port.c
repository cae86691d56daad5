/*
 * A host in C over termios: opens a port raw at a baud rate, and prints one line for each read: `<epochMs> <hex>`,
 * the time being CLOCK_REALTIME.
 * use: read-port PATH BAUD [SECONDS [TEXT]]     ends after SECONDS (default: never); TEXT is written first, then CR LF
 * The first line, printed once the port is set up, is `ready`.
 */
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
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

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "use: read-port PATH BAUD [SECONDS [TEXT]]\n");
        return 2;
    }
    int fd = open(argv[1], O_RDWR | O_NOCTTY);
    struct termios line;
    if (fd < 0 || tcgetattr(fd, &line) != 0) {
        perror(argv[1]);
        return 1;
    }
    cfmakeraw(&line);
    line.c_cflag |= CLOCAL | CREAD;
    if (speed_of(atoi(argv[2])) == B0) {
        fprintf(stderr, "%s: not a speed of this program\n", argv[2]);
        return 2;
    }
    cfsetspeed(&line, speed_of(atoi(argv[2])));
    if (tcsetattr(fd, TCSANOW, &line) != 0) {
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
        int wait_ms = end_ms < 0 ? -1 : (int)(end_ms - now_ms());
        if (end_ms >= 0 && wait_ms <= 0) return 0;
        if (poll(&what, 1, wait_ms) <= 0) continue;
        ssize_t count = read(fd, bytes, sizeof bytes);
        if (count <= 0) return 0;
        printf("%lld ", now_ms());
        for (ssize_t i = 0; i < count; i++) printf("%02x", bytes[i]);
        putchar('\n');
        fflush(stdout);
    }
}
