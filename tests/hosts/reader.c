/*
 * A host in C over termios: checks the checksum and the status of GGA, and nothing else: it knows no date and no epochs.
 * use: reader PATH BAUD       prints a line a GGA sentence: `hhmmss.ss LAT LON ALT USED`, or `hhmmss.ss none`
 */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

static speed_t speed_of(int baud)
{
  switch (baud) {
  case 4800: return B4800;
  case 9600: return B9600;
  case 19200: return B19200;
  case 38400: return B38400;
  case 57600: return B57600;
  case 115200: return B115200;
  default: exit(2);
  }
}

static int is_sound(const char *line)
{
  const char *star = strchr(line, '*');
  unsigned sum = 0;
  if (line[0] != '$' || star == NULL || strlen(star) < 3) return 0;
  for (const char *at = line + 1; at < star; at++) sum ^= (unsigned char)*at;
  return sum == strtoul(star + 1, NULL, 16);
}

static double degrees(const char *text, char hemisphere)
{
  double value = atof(text);
  int whole = (int)(value / 100);
  double all = whole + (value - 100 * whole) / 60;
  return hemisphere == 'S' || hemisphere == 'W' ? -all : all;
}

static void take(char *line)
{
  char *field[16] = {0};
  int count = 0;
  if (!is_sound(line) || strncmp(line + 3, "GGA,", 4) != 0) return;
  for (char *at = line; at != NULL && count < 16; count++) field[count] = strsep(&at, ",");
  if (count < 10) return;
  if (field[6][0] == '0' || field[6][0] == 0 || field[2][0] == 0) {
    printf("%s none\n", field[1][0] ? field[1] : "-");
  } else {
    printf("%s %.7f %.7f %s %s\n", field[1], degrees(field[2], field[3][0]), degrees(field[4], field[5][0]), field[9],
           field[7]);
  }
  fflush(stdout);
}

int main(int argc, char **argv)
{
  struct termios settings;
  char line[256];
  size_t length = 0;
  char byte;
  int port;
  if (argc < 3 || (port = open(argv[1], O_RDWR | O_NOCTTY)) < 0 || tcgetattr(port, &settings) < 0) {
    perror(argc < 3 ? "use: reader PATH BAUD" : argv[1]);
    return 1;
  }
  cfmakeraw(&settings);
  cfsetspeed(&settings, speed_of(atoi(argv[2])));
  tcsetattr(port, TCSANOW, &settings);
  while (read(port, &byte, 1) == 1) {
    if (byte == '\n' || length == sizeof line - 1) {
      line[length] = 0;
      take(line);
      length = 0;
    } else if (byte != '\r') line[length++] = byte;
  }
  perror("read");
  return 1;
}
