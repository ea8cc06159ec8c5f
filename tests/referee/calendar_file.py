"""Turns calendar files into verdicts of two parsers that share no code with the program. Run by tests/oracles/calendar_file.rs.

    calendar_file.py check FILE...    both parsers accept each file, and the rules they do not look at hold
    calendar_file.py damage FILE      plants faults in copies held in memory; each must be noticed

The rules are those of RFC 5545: 3.1 (75 octets, CRLF), 3.2.19 (every TZID defined), 3.6.1 (the end of whole days is exclusive),
3.6.5 (VTIMEZONE), 3.8.4.7 (UID). Offsets are held against Python's `zoneinfo` with the time zone data of PyPI `tzdata`.

One invariant: exit 0 only when at least one event was looked at and no fault was found.
Must not: be called calendar.py, which would stand before the module of that name in Python's own library.
"""

import datetime
import sys
import zoneinfo
from pathlib import Path

import icalendar
import vobject

# the pinned data of PyPI, not that of whatever system this runs on
zoneinfo.reset_tzpath(to=[])

DAY = datetime.timedelta(days=1)


def raw_faults(data):
    """Faults that show in the bytes alone."""
    if not data.endswith(b"\r\n"):
        yield "does not end with CRLF"
    if b"\r" in data.replace(b"\r\n", b"") or b"\n" in data.replace(b"\r\n", b""):
        yield "a line break that is not CRLF"
    for line in data.split(b"\r\n"):
        if len(line) > 75:
            yield f"{len(line)} octets in a line"
        try:
            line.decode("utf-8")
        except UnicodeDecodeError:
            yield f"a character is cut: {line!r}"


def parsed_by_icalendar(data):
    calendars = icalendar.Calendar.from_ical(data, multiple=True)
    if len(calendars) != 1:
        raise ValueError(f"{len(calendars)} calendars")
    errors = [error for part in calendars[0].walk() for error in part.errors]
    if errors:
        raise ValueError(str(errors))
    return calendars[0]


def parsed_by_vobject(data):
    found = list(vobject.readComponents(data.decode("utf-8")))
    if len(found) != 1:
        raise ValueError(f"{len(found)} calendars")
    found[0].validate(raiseException=True)
    for part in found[0].getChildren():
        if isinstance(part, vobject.base.Component):
            part.validate(raiseException=True)
    return found[0]


def event_faults(calendar, counts):
    """The rules that no parser looks at, on what icalendar read."""
    events = calendar.walk("VEVENT")
    zones = {str(zone["TZID"]): zone for zone in calendar.walk("VTIMEZONE")}
    uids = [str(event["UID"]) for event in events]
    if len(set(uids)) != len(uids):
        yield "a UID stands twice"
    if len(zones) != len(calendar.walk("VTIMEZONE")):
        yield "a VTIMEZONE stands twice"
    used = set()
    for event in events:
        counts["events"] += 1
        start = event["DTSTART"].dt
        about = f"{event['SUMMARY']} at {start}"
        for name in ("DTSTAMP", "SEQUENCE", "SUMMARY", "LAST-MODIFIED", "CLASS", "TRANSP"):
            if name not in event:
                yield f"{about}: no {name}"
        for alarm in event.walk("VALARM"):
            counts["alarms"] += 1
            if not {"ACTION", "TRIGGER", "DESCRIPTION"} <= set(alarm):
                yield f"{about}: an alarm lacks something"
        if not isinstance(start, datetime.datetime):
            end = event["DTEND"].dt if "DTEND" in event else None
            if isinstance(end, datetime.datetime) or end is None or end - start < DAY:
                yield f"{about}: whole days end on {end}"
            continue
        zone = event["DTSTART"].params.get("TZID")
        if zone is None:
            yield f"{about}: no TZID"
        elif zone not in zones:
            yield f"{about}: {zone} is not defined"
        else:
            used.add(zone)
            counts["offsets"] += 1
            naive = start.replace(tzinfo=None)
            wanted = naive.replace(tzinfo=zoneinfo.ZoneInfo(zone)).utcoffset()
            # from the definition in the file, not from the library's own knowledge of the name
            defined = zones[zone].to_tz(lookup_tzid=False)
            found = (defined.localize(naive) if hasattr(defined, "localize") else naive.replace(tzinfo=defined)).utcoffset()
            if found != wanted:
                yield f"{about}: {found} by the file, {wanted} by zoneinfo"
            by_observances = offset_by_observances(zones[zone], naive)
            if by_observances != wanted:
                yield f"{about}: {by_observances} by the observances, {wanted} by zoneinfo"
    for zone in set(zones) - used:
        yield f"{zone} is defined and not used"
    for zone in used:
        yield from change_faults(zones[zone], zone, events, counts)


def observances(zone):
    return [part for part in zone.subcomponents if part.name in ("STANDARD", "DAYLIGHT")]


def offset_by_observances(zone, naive):
    """RFC 5545, 3.6.5: the observance with the latest onset that is not after the time."""
    begun = [part for part in observances(zone) if part["DTSTART"].dt <= naive]
    return max(begun, key=lambda part: part["DTSTART"].dt)["TZOFFSETTO"].td if begun else None


def change_faults(zone, name, events, counts):
    """Each written change of the clock is one of the zone's, and none is left out between the first and the last event."""
    truth = zoneinfo.ZoneInfo(name)

    def offset(moment):
        return moment.replace(tzinfo=datetime.timezone.utc).astimezone(truth).utcoffset()

    written = set()
    for part in observances(zone):
        before, after = part["TZOFFSETFROM"].td, part["TZOFFSETTO"].td
        moment = part["DTSTART"].dt - before
        second = datetime.timedelta(seconds=1)
        if before != after:
            counts["changes"] += 1
            written.add(moment)
            if (offset(moment - second), offset(moment)) != (before, after):
                yield f"{name}: no such change at {moment} UTC"
    days = [event["DTSTART"].dt for event in events]
    days = [datetime.datetime(day.year, day.month, day.day) for day in days]
    hour = datetime.timedelta(minutes=30)
    moment = min(days)
    while moment <= max(days) + DAY:
        if offset(moment - hour) != offset(moment) and not any(moment - hour < at <= moment for at in written):
            yield f"{name}: the change before {moment} UTC is missing"
        moment += hour


def vobject_faults(calendar, reference):
    """vobject reads the same events, and by the file's own VTIMEZONE the same moments as zoneinfo."""
    theirs = {event.uid.value: event for event in calendar.vevent_list}
    ours = {str(event["UID"]): event for event in reference.walk("VEVENT")}
    if set(theirs) != set(ours):
        yield "the two parsers read different events"
        return
    for uid, event in theirs.items():
        if event.summary.value != str(ours[uid]["SUMMARY"]) or event.description.value != str(ours[uid]["DESCRIPTION"]):
            yield f"{uid}: the two parsers read different texts"
        start = event.dtstart.value
        if isinstance(start, datetime.datetime):
            name = ours[uid]["DTSTART"].params.get("TZID")
            wanted = start.replace(tzinfo=zoneinfo.ZoneInfo(name)).utcoffset() if name else None
            if start.utcoffset() != wanted:
                yield f"{uid}: vobject reads {start.utcoffset()}, zoneinfo {wanted}"


def faults(data, counts):
    found = list(raw_faults(data))
    # vobject keeps time zones by name from one file to the next
    vobject.icalendar.__dict__["__tzidMap"].clear()
    try:
        first = parsed_by_icalendar(data)
        second = parsed_by_vobject(data)
        found += event_faults(first, counts)
        found += vobject_faults(second, first)
    except Exception as error:  # a parser may raise anything; whatever it raises, it refused the file
        found.append(f"refused: {type(error).__name__}: {error}")
    return found


def check(paths):
    counts = dict.fromkeys(("files", "events", "alarms", "offsets", "changes"), 0)
    found = []
    for path in map(Path, paths):
        counts["files"] += 1
        found += [f"{path.name}: {fault}" for fault in faults(path.read_bytes(), counts)]
    report(counts, found)


def damage(path):
    """What goes wrong in practice, one thing at a time."""
    whole = Path(path).read_bytes()
    counts = dict.fromkeys(("events", "alarms", "offsets", "changes"), 0)
    missed = [f"the file is not fine to begin with: {fault}" for fault in faults(whole, counts)]
    zone = whole[whole.index(b"BEGIN:VTIMEZONE") : whole.index(b"END:VTIMEZONE") + len(b"END:VTIMEZONE\r\n")]
    line = next(line for line in whole.split(b"\r\n") if line.startswith(b"DTEND;VALUE=DATE:"))
    start = next(line for line in whole.split(b"\r\n") if line.startswith(b"DTSTART;VALUE=DATE:"))
    uids = [line for line in whole.split(b"\r\n") if line.startswith(b"UID:")]
    folded = whole.index(b"\r\n ")
    last = zone[zone.rindex(b"BEGIN:STANDARD") : zone.rindex(b"END:STANDARD") + len(b"END:STANDARD\r\n")]
    planted = {
        "whole days that end on the day they begin": whole.replace(line, b"DTEND;VALUE=DATE:" + start.split(b":")[1], 1),
        "a line that is not folded": whole[:folded] + whole[folded + 3 :],
        "line feeds alone": whole.replace(b"\r\n", b"\n"),
        "no definition of the time zone": whole.replace(zone, b""),
        "a wrong offset": whole.replace(zone, zone.replace(b"TZOFFSETTO:+0000", b"TZOFFSETTO:+0100")),
        "a change on another day": whole.replace(last, last.replace(b"T020000", b"T050000")),
        "a UID twice": whole.replace(uids[1], uids[0]),
        "an event without UID": whole.replace(uids[0] + b"\r\n", b""),
        "an event without beginning": whole.replace(start + b"\r\n", b"", 1),
        "a component that is not closed": whole.replace(b"END:VALARM\r\n", b"", 1),
        "an alarm without action": whole.replace(b"ACTION:DISPLAY\r\n", b"", 1),
        "a month that does not exist": whole.replace(start, b"DTSTART;VALUE=DATE:20271303", 1),
        "a second calendar": whole + whole,
    }
    for what, data in planted.items():
        if data == whole:
            missed.append(f"nothing was planted: {what}")
        elif not faults(data, counts):
            missed.append(f"not noticed: {what}")
    report({"events": counts["events"], "planted": len(planted)}, missed)


def report(counts, found):
    for fault in found:
        print(fault)
    print(", ".join(f"{count} {what}" for what, count in counts.items()))
    sys.exit(1 if found or not counts["events"] else 0)


if __name__ == "__main__":
    command, *rest = sys.argv[1:]
    {"check": check, "damage": lambda paths: damage(*paths)}[command](rest)
