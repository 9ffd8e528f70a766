"""Writes a capture with python-can 4.1.0, and beside it what was put in. can-utils 2020.11 then writes the same frames:

python3 write_frames.py
log2asc -I frames.python-can.log -O frames.asc can0 can1
asc2log -I frames.asc -O frames.can-utils.log

asc2log begins at the moment at which it is run.
"""

import csv

import can

START = 1_700_000_000.0
messages = []


def add(after_s, channel, **kind):
    messages.append(can.Message(timestamp=START + after_s, channel=channel, **kind))


for i in range(100):
    turbine, output = 3200 + 7 * i, 1100 + 3 * i
    add(i / 50, "can0", arbitration_id=0x1D0, is_extended_id=False, data=turbine.to_bytes(2, "big") + output.to_bytes(2, "little") + bytes([i, 0, 255, 128]))
    if i % 10 == 3:
        add(i / 50 + 0.001, "can0", arbitration_id=0x18FEF100, is_extended_id=True, data=bytes([i % 6 + 1]))
    if i % 20 == 5:
        add(i / 50 + 0.002, "can1", arbitration_id=0x7FF, is_extended_id=False, data=b"")
add(2.0, "can0", arbitration_id=0x123, is_extended_id=False, is_remote_frame=True, dlc=4)
add(2.001, "can0", arbitration_id=0x080, is_error_frame=True, data=bytes(8))
add(2.002, "can0", arbitration_id=0x1D1, is_extended_id=False, is_fd=True, bitrate_switch=True, data=bytes(range(48)))

with can.CanutilsLogWriter("frames.python-can.log") as writer:
    for message in messages:
        writer.on_message_received(message)

with open("frames.expected.csv", "w", newline="") as file:
    table = csv.writer(file, lineterminator="\n")
    table.writerow(["after_s", "channel", "identifier", "extended", "kind", "fd", "data"])
    for m in messages:
        kind = "error" if m.is_error_frame else "remote" if m.is_remote_frame else "data"
        after_s = f"{m.timestamp - START:.6f}"
        table.writerow([after_s, m.channel, m.arbitration_id, m.is_extended_id, kind, m.is_fd, m.data.hex()])
