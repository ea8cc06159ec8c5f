"""Turns cases with the program's answers, one a line, into a verdict by Python's own calendar.

One invariant: every answer is worked out anew here, with datetime, dateutil and zoneinfo (time zone data from PyPI tzdata).
Must not: share code or data with the program, or pass when nothing was judged.
"""
import sys
import zoneinfo
from datetime import datetime, date, timedelta, timezone

from dateutil.relativedelta import relativedelta

# the data of the pinned package, not the machine's
zoneinfo.reset_tzpath(to=[])


def after(start: str, amount: str, unit: str) -> str:
    day, n = date.fromisoformat(start), int(amount)
    if unit == "hours":
        return (day + timedelta(days=n // 24)).isoformat()
    return (day + relativedelta(**{unit: n})).isoformat()


def clock(start: str, hours: str, zone: str) -> str:
    # a wall-clock time that does not exist (clocks went forward) is read with the offset before the change, as fold=0 says
    local = datetime.fromisoformat(start).replace(tzinfo=zoneinfo.ZoneInfo(zone))
    moment = local.astimezone(timezone.utc) + timedelta(hours=int(hours))
    return moment.astimezone(zoneinfo.ZoneInfo(zone)).replace(tzinfo=None).isoformat()


def main() -> int:
    judged, wrong = 0, []
    for line in sys.stdin.read().splitlines():
        kind, *given, answer = line.split("\t")
        expected = {"after": after, "clock": clock}[kind](*given)
        judged += 1
        if expected != answer:
            wrong.append(f"{line}: Python says {expected}")
    print("\n".join(wrong[:20]))
    print(f"{judged} cases, {len(wrong)} differ")
    return 1 if wrong or judged < 10_000 else 0


sys.exit(main())
