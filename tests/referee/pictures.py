"""Turns one finished paper into what its pictures show: arrays of marks, numbered rings, alternative texts; one JSON line.

    pictures.py PDF

One invariant: counts what is drawn in the file, told apart by size and by filled or not; reads no expectation from anywhere.
Must not: judge; tests/pages/pictures.rs holds this against the catalogue.
"""

import json
import math
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


def points(page, marks):
    """Filled spots without an outline that lie inside a mark, each with the mark around it."""
    spots = [c for c in page.curves if c["fill"] and not c["stroke"] and is_dark(c["non_stroking_color"]) and c["width"] < LARGEST_MARK]
    middle = lambda c: ((c["x0"] + c["x1"]) / 2, (c["top"] + c["bottom"]) / 2)
    found = []
    for spot in spots:
        x, y = middle(spot)
        found += [m for m in marks if abs(middle(m)[0] - x) < 0.2 and abs(middle(m)[1] - y) < 0.2 and spot["width"] < 0.7 * m["width"]]
    return found


def in_arrays(page):
    """Marks that stand with others in both directions: those of the key line stand alone."""
    marks = [c for c in round_ones(page) if c["width"] < LARGEST_MARK]
    near = lambda a, b, across, down: abs(a["x0"] - b["x0"] - across) < 0.3 and abs(a["top"] - b["top"] - down) < 0.3
    step = None
    for one in marks:
        # the distance to the next mark of the row
        right = [b["x0"] - one["x0"] for b in marks if b is not one and abs(b["top"] - one["top"]) < 0.3 and b["x0"] > one["x0"] + 1]
        if right and (step is None or min(right) < step):
            step = min(right)
    if step is None:
        return [], 0
    beside = lambda one: any(near(b, one, s * step, 0) for b in marks for s in (1, -1)) and any(near(b, one, 0, s * step) for b in marks for s in (1, -1))
    return [one for one in marks if beside(one)], step


def arrays(page):
    marks, step = in_arrays(page)
    if not marks:
        return []
    rows = runs([round(c["top"], 1) for c in marks], 1.5 * step)
    columns = runs([round(c["x0"], 1) for c in marks], 1.5 * step)

    def cell(c):
        row = max(at for at, top in enumerate(rows) if top <= c["top"] + step / 2)
        return row, max(at for at, left in enumerate(columns) if left <= c["x0"] + step / 2)

    found = {}
    for mark in marks:
        one = found.setdefault(cell(mark), {"marks": 0, "filled": 0, "some": 0})
        one["marks"] += 1
        one["filled"] += bool(mark["fill"] and is_dark(mark["non_stroking_color"]))
    for mark in points(page, marks):
        found[cell(mark)]["some"] += 1
    return [found[at] for at in sorted(found)]


def is_led_to(page, ring):
    """Whether a line ends at it: the numbers of a map have one, those beside headings and in tables have none."""
    x, y = (ring["x0"] + ring["x1"]) / 2, (ring["top"] + ring["bottom"]) / 2
    ends = [end for line in page.lines for end in (line["pts"][0], line["pts"][-1])]
    return any(math.hypot(end[0] - x, end[1] - y) < ring["width"] / 2 + 3 for end in ends)


def rings(page):
    found = []
    for ring in round_ones(page):
        if ring["width"] >= LARGEST_MARK and is_led_to(page, ring):
            inside = [
                c for c in page.chars
                if ring["x0"] < (c["x0"] + c["x1"]) / 2 < ring["x1"] and ring["top"] < (c["top"] + c["bottom"]) / 2 < ring["bottom"]
            ]  # fmt: skip
            found.append({
                "page": page.page_number,
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
