"""Turns one finished paper into faults of its measures: the pitch of its lines, and room for a hand, a box, a number to call.

    measures.py PDF KIND AREAS      (prints the faults as one line of JSON)

One invariant: every length is read from the glyphs and strokes in the file by pdfplumber; the lengths asked for are written here.
Must not: know how the template arrives at its measures.
"""

import json
import sys

import pdfplumber

from text import furniture

MM = 72 / 25.4
BODY = 12.0
PITCH = 16.0  # points from line to line of body text
WIDE = 200.0  # a line so wide belongs to a paragraph, not to a label of a picture
SHORT = 60.0  # so does what stands below it, unless it is shorter
SIGNATURE = (75 * MM, 32.0)  # a place to sign: its width, and nothing printed so far above it (12 mm less what glyphs hang down)
INITIALS = (20 * MM, 10 * MM)
NUMBER = 22.0  # points: telephone numbers in the bands of whom to call


def body_lines(page, frame):
    """Lines of body text: bottom, left edge, right edge. What stands far apart in one row is several lines."""
    rows = {}
    for c in page.chars:
        inside = frame.head_bottom < (c["top"] + c["bottom"]) / 2 < frame.foot_top
        if inside and c["text"].strip() and abs(c["size"] - BODY) < 0.05:
            rows.setdefault(round(c["bottom"], 1), []).append(c)
    for bottom, chars in sorted(rows.items()):
        chars.sort(key=lambda c: c["x0"])
        line = [chars[0]]
        for c in chars[1:]:
            if c["x0"] - line[-1]["x1"] > BODY:
                yield bottom, line[0]["x0"], line[-1]["x1"]
                line = []
            line.append(c)
        yield bottom, line[0]["x0"], line[-1]["x1"]


def pitches(page, frame):
    """Distances between lines that begin at one edge and could be of one paragraph."""
    lines = list(body_lines(page, frame))
    for at, (bottom, left, right) in enumerate(lines):
        below = next(((b - bottom, r - l) for b, l, r in lines[at + 1 :] if abs(l - left) < 0.6), None)
        if below and right - left > WIDE and below[1] > SHORT and below[0] < PITCH + 0.9:
            yield below[0]


def strokes(page):
    """Lines to write on: level, and drawn as a line, a flat box or a path."""
    for shape in page.lines + page.rects + page.curves:
        if abs(shape["bottom"] - shape["top"]) < 1.5:
            yield shape


def clear_above(page, stroke):
    above = [
        stroke["top"] - c["bottom"] for c in page.chars
        if c["text"].strip() and c["x1"] > stroke["x0"] and c["x0"] < stroke["x1"] and c["bottom"] <= stroke["top"] + 1
    ]  # fmt: skip
    return min(above, default=stroke["top"])


def is_box(shape, size):
    across, down = shape["x1"] - shape["x0"], shape["bottom"] - shape["top"]
    return abs(across - size[0]) < 1.5 and abs(down - size[1]) < 1.5


def faults(pdf, frames, kind, areas):
    whole = 0
    for page, frame in zip(pdf.pages, frames, strict=True):
        for distance in pitches(page, frame):
            whole += 1
            if abs(distance - PITCH) > 0.2:
                yield f"page {page.page_number}: lines of body text {distance:.1f} pt apart"
    if kind in ("information", "aftercare") and whole < 10:
        yield f"only {whole} distances between lines were read"
    if kind == "consent":
        places = [
            (page, s) for page in pdf.pages for s in strokes(page) if s["x1"] - s["x0"] >= SIGNATURE[0] - 0.5 and s["x1"] - s["x0"] < 1.2 * SIGNATURE[0]
        ]
        good = [s for page, s in places if clear_above(page, s) >= SIGNATURE[1]]
        # patient, practitioner, interpreter, representative, refusal, withdrawal
        if len(good) < 6:
            yield f"only {len(good)} places to sign have room for a hand"
        boxes = sum(is_box(shape, INITIALS) for page in pdf.pages for shape in page.rects + page.curves)
        if boxes < areas:
            yield f"{boxes} boxes for initials, for {areas} areas"
    if kind == "aftercare":
        large = "".join(c["text"] for page in pdf.pages for c in page.chars if c["size"] >= NUMBER - 0.05)
        if sum(c.isdigit() for c in large) < 13:
            yield f"the numbers to call are not large: {large!r}"


if __name__ == "__main__":
    with pdfplumber.open(sys.argv[1]) as opened:
        print(json.dumps(list(faults(opened, furniture(sys.argv[1]), sys.argv[2], int(sys.argv[3])))))
