"""A host in Python over python3-serial that finds its port again: opens the first of PATHs that is there, prints what it
reads, and when it loses the port opens the first that is there then. A line on its standard input is one more path.
A device of its own name is opened once: when it has gone, the system may give its name to another program's port.

use: reattach.py BAUD PATH…       prints `open PATH`, `read HEX`, `lost REASON`; ends when standard input does
"""

import os
import sys
import threading
import time

import serial


def listen(paths):
    for line in sys.stdin:
        paths.append(line.strip())
    os._exit(0)


def main():
    baud, paths = int(sys.argv[1]), sys.argv[2:]
    threading.Thread(target=listen, args=(paths,), daemon=True).start()
    while True:
        path = next((each for each in paths if os.path.exists(each)), None)
        if path is None:
            time.sleep(0.02)
            continue
        is_link = os.path.islink(path)
        try:
            with serial.Serial(path, baud, timeout=0.05) as port:
                print("open", path, flush=True)
                if not is_link:
                    paths.remove(path)
                while True:
                    data = port.read(max(1, port.in_waiting))
                    if data:
                        print("read", data.hex(), flush=True)
        except (serial.SerialException, OSError) as error:
            print("lost", error, flush=True)
            time.sleep(0.05)


main()
