/*
 * A host in C over termios that looks at the clock closely: opens a port raw at a baud rate, and prints for each read
 * `<epochMs> <hex>`, the time being CLOCK_REALTIME after the read, with microseconds.
 * use: stamp-port PATH BAUD     ends when the port goes
 * The first line, printed once the port is set up, is `ready`.
 */
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    if (argc != 3) {
        fprintf(stderr, "use: stamp-port PATH BAUD\n");
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
    cfsetspeed(&line, atoi(argv[2]) == 9600 ? B9600 : atoi(argv[2]) == 4800 ? B4800 : B115200);
    if (tcsetattr(fd, TCSANOW, &line) != 0) {
        perror("tcsetattr");
        return 1;
    }
    puts("ready");
    fflush(stdout);
    for (;;) {
        unsigned char bytes[4096];
        struct timespec t;
        struct pollfd what = {fd, POLLIN, 0};
        if (poll(&what, 1, -1) < 0) continue;
        ssize_t count = read(fd, bytes, sizeof bytes);
        clock_gettime(CLOCK_REALTIME, &t);
        if (count <= 0) return 0;
        printf("%lld.%03ld ", t.tv_sec * 1000LL + t.tv_nsec / 1000000, t.tv_nsec / 1000 % 1000);
        for (ssize_t i = 0; i < count; i++) printf("%02x", bytes[i]);
        putchar('\n');
        fflush(stdout);
    }
}
