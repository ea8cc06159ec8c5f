"""Turns printed pages into what a camera reads in their codes. Run by tests/oracles/qr_code.rs.

    qr_code.py read NAME PAPER CALENDAR [DPI...]     the code on the paper holds the review of that calendar file, and no part of NAME

Pages are drawn by poppler and read by zbar; both calendars are parsed by `icalendar`. Neither shares code with the program.

One invariant: exit 0 only when exactly one code was read at every resolution and every line of its event stands byte for byte,
after unfolding (RFC 5545, section 3.1), in one event of the calendar file.
Must not: correct what was read.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

import icalendar

# without these a telephone has nothing to show
NEEDED = ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY")


def codes(paper, dpi):
    """The bytes of every code on the pages."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(dpi), "-png", paper, f"{folder}/page"], check=True)
        pages = sorted(Path(folder).iterdir())
        # one page at a time: what zbar prints of several cannot be told apart
        for page in pages:
            read = subprocess.run(
                ["zbarimg", "-q", "--raw", "-Sdisable", "-Sqrcode.enable", "-Sbinary", str(page)], stdout=subprocess.PIPE
            )
            if read.stdout:
                yield read.stdout


def events(data):
    """The lines of every event, unfolded."""
    lines = data.replace(b"\r\n ", b"").split(b"\r\n")
    found, inside = [], None
    for line in lines:
        if line == b"BEGIN:VEVENT":
            inside = []
        elif line == b"END:VEVENT":
            found.append(inside)
            inside = None
        elif inside is not None:
            inside.append(line)
    return found


def faults(name, data, calendar):
    in_code, in_file = events(data), events(calendar)
    if len(in_code) != 1:
        yield f"{len(in_code)} events in the code"
        return
    uid = [line for line in in_code[0] if line.startswith(b"UID:")]
    same = [event for event in in_file if uid[0] in event] if uid else []
    if len(same) != 1:
        yield f"{len(same)} events of the file have its UID"
        return
    for line in in_code[0]:
        if line not in same[0]:
            yield f"not in the file's event: {line!r}"
    parsed = icalendar.Calendar.from_ical(data)
    event, kept = parsed.walk("VEVENT")[0], icalendar.Calendar.from_ical(calendar)
    kept = next(e for e in kept.walk("VEVENT") if e["UID"] == event.get("UID"))
    if any(part.errors for part in parsed.walk()):
        yield "icalendar finds errors"
    for part in ("VERSION", "PRODID"):
        if part not in parsed:
            yield f"no {part}"
    for part in NEEDED:
        if part not in event:
            yield f"no {part}"
        elif event[part].to_ical() != kept[part].to_ical():
            yield f"{part} differs"
    # whole words: a short name may well be part of another word
    words = set(re.findall(r"\w+", data.decode("utf-8").lower()))
    for part in re.findall(r"\w+", name.lower()):
        if len(part) > 2 and part in words:
            yield f"names {part}"


def main(command, name, paper, calendar, *resolutions):
    assert command == "read", command
    found, kept = 0, Path(calendar).read_bytes()
    for dpi in resolutions:
        read = list(codes(paper, dpi))
        if len(read) != 1:
            print(f"{paper}: {len(read)} codes at {dpi} dpi")
            return 1
        # zbar ends what it read with a line break of its own unless it is told that the code holds bytes
        for fault in faults(name, read[0], kept):
            print(f"{paper} at {dpi} dpi: {fault}")
            found += 1
    print(f"{len(resolutions)} readings")
    return 1 if found or not resolutions else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
