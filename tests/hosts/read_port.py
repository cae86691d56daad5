"""A host in Python over python3-serial: opens a port at a baud rate, prints a line for each read: `<epochMs> <hex>`.

use: read_port.py PATH BAUD [SECONDS [TEXT]]     ends after SECONDS (default: never); TEXT goes first, then CR LF
BAUD may be BAUD,BAUD: the other speed is set on SIGUSR2.
The first line, printed once the port is set up, is `ready`.
"""

import signal
import sys
import time

import serial


def main():
    path, bauds = sys.argv[1], sys.argv[2].split(",")
    asked = []
    signal.signal(signal.SIGUSR2, lambda *_: asked.append(True))
    end_s = time.time() + float(sys.argv[3]) if len(sys.argv) > 3 else None
    with serial.Serial(path, int(bauds[0]), timeout=0.05) as port:
        if len(sys.argv) > 4:
            port.write(sys.argv[4].encode("ascii") + b"\r\n")
        print("ready", flush=True)
        while end_s is None or time.time() < end_s:
            if asked and len(bauds) > 1:
                port.baudrate = int(bauds.pop())
            data = port.read(max(1, port.in_waiting))
            if data:
                print(int(time.time() * 1000), data.hex(), flush=True)


main()
