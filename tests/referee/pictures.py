"""Turns one finished paper into what its pictures show: arrays of marks, numbered rings, alternative texts; one JSON line.

    pictures.py PDF

One invariant: counts what is drawn in the file, told apart by size and by filled or not; reads no expectation from anywhere.
Must not: judge; tests/pages/pictures.rs holds this against the catalogue.
"""

import json
import sys

import pdfplumber
import pikepdf
from structure import walk

LARGEST_MARK = 9  # points; a ring is larger
DARK = 0.5


def is_dark(colour):
    if colour is None:
        return False
    parts = colour if isinstance(colour, (list, tuple)) else [colour]
    return sum(parts) / len(parts) < DARK


def round_ones(page):
    """Circles with an outline."""
    return [c for c in page.curves if c["stroke"] and abs(c["width"] - c["height"]) < 0.05]


def runs(values, gap):
    """Sorted values cut wherever the next is further off than `gap`: the first of each run."""
    starts = []
    last = None
    for value in sorted(set(values)):
        if last is None or value - last > gap:
            starts.append(value)
        last = value
    return starts


def arrays(page):
    marks = [c for c in round_ones(page) if c["width"] < LARGEST_MARK]
    if not marks:
        return []
    size = marks[0]["width"]
    halves = [c for c in page.curves if c["fill"] and not c["stroke"] and abs(c["height"] - size) < size * 0.2]
    rows = runs([round(c["top"], 1) for c in marks], 2.6 * size)
    columns = runs([round(c["x0"], 1) for c in marks], 2.6 * size)

    def cell(c):
        row = max(at for at, top in enumerate(rows) if top <= c["top"] + size / 2)
        return row, max(at for at, left in enumerate(columns) if left <= c["x0"] + size / 2)

    found = {}
    for mark in marks:
        one = found.setdefault(cell(mark), {"marks": 0, "filled": 0, "half": 0})
        one["marks"] += 1
        one["filled"] += bool(mark["fill"] and is_dark(mark["non_stroking_color"]))
    for half in halves:
        found[cell(half)]["half"] += 1
    return [found[at] for at in sorted(found)]


def rings(page):
    found = []
    for ring in round_ones(page):
        if ring["width"] >= LARGEST_MARK:
            inside = [
                c for c in page.chars
                if ring["x0"] < (c["x0"] + c["x1"]) / 2 < ring["x1"] and ring["top"] < (c["top"] + c["bottom"]) / 2 < ring["bottom"]
            ]  # fmt: skip
            found.append({
                "number": "".join(c["text"] for c in inside),
                "size": min((c["size"] for c in inside), default=0),
                "x": (ring["x0"] + ring["x1"]) / 2,
                "y": (ring["top"] + ring["bottom"]) / 2,
                "diameter": ring["width"] + ring["linewidth"],
                "white": not is_dark(ring["non_stroking_color"]),
            })  # fmt: skip
    return found


def main(path):
    with pikepdf.open(path) as pdf:
        alts = [str(e.Alt) for e in walk(pdf.Root.StructTreeRoot.K) if e.S == "/Figure"]
    shown = {"alts": alts, "arrays": [], "rings": []}
    with pdfplumber.open(path) as pdf:
        for page in pdf.pages:
            shown["arrays"] += arrays(page)
            shown["rings"] += rings(page)
    print(json.dumps(shown))


if __name__ == "__main__":
    main(sys.argv[1])
