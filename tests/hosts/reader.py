"""A host in Python over python3-serial and python3-nmea2: believes what the parser lets pass, and says at once that it has
no fix when the module does. It does not look for its port again, and waits for ever where nothing comes.
use: reader.py PATH BAUD       prints a report an RMC sentence, as CSV: time,lat,lon,speed,course,fix
"""
import sys

import pynmea2
import serial

KNOT_MPS = 1852 / 3600

print("time,lat,lon,speed,course,fix", flush=True)
with serial.Serial(sys.argv[1], int(sys.argv[2])) as port:
    while True:
        line = port.readline().decode("ascii", "replace").strip()
        try:
            sentence = pynmea2.parse(line, check=True)
        except pynmea2.ParseError:
            continue
        if getattr(sentence, "sentence_type", "") != "RMC":
            continue
        if sentence.status != "A" or sentence.datestamp is None or sentence.timestamp is None:
            print(",,,,,no", flush=True)
            continue
        time = f"{sentence.datestamp}T{sentence.timestamp.strftime('%H:%M:%S.%f')[:-3]}Z"
        speed = float(sentence.spd_over_grnd or 0) * KNOT_MPS
        course = "" if sentence.true_course is None else sentence.true_course
        print(f"{time},{sentence.latitude:.7f},{sentence.longitude:.7f},{speed:.2f},{course},yes", flush=True)
