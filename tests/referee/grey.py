"""Turns one finished paper into how dark its parts are on a copier that knows no colour; one JSON line.

    grey.py PDF

One invariant: every darkness (0 white, 1 black) is read from pixels that pdfium draws in grey; places come from pdfplumber.
Must not: judge; tests/oracles/pictures.rs says what must differ.
"""

import json
import sys

import pdfplumber
import pypdfium2
from pictures import in_arrays, is_dark, points

DPI = 300


class Grey:
    """One page as a copier sees it."""

    def __init__(self, page):
        self.picture = page.render(scale=DPI / 72, grayscale=True).to_pil().convert("L")

    def within(self, x0, top, x1, bottom):
        """Darkness of every pixel inside a box given in points."""
        k = DPI / 72
        box = [round(value * k) for value in (x0, top, x1, bottom)]
        part = self.picture.crop((box[0], box[1], max(box[2], box[0] + 1), max(box[3], box[1] + 1)))
        return [1 - value / 255 for value in part.tobytes()]


def mean(values):
    return sum(values) / len(values)


def marks(page, grey):
    """Mean darkness inside the marks of arrays: of each kind the least and the most."""
    small, _ = in_arrays(page)
    pointed = [id(one) for one in points(page, small)]
    found = {"filled": [], "some": [], "empty": []}
    for one in small:
        # the square inside the circle, within its outline
        edge = 0.22 * one["width"]
        dark = mean(grey.within(one["x0"] + edge, one["top"] + edge, one["x1"] - edge, one["bottom"] - edge))
        is_full = one["fill"] and is_dark(one["non_stroking_color"])
        found["filled" if is_full else "some" if id(one) in pointed else "empty"].append(dark)
    return {kind: [round(min(all), 3), round(max(all), 3)] for kind, all in found.items() if all}


def is_white(colour):
    """Whether nothing is printed for it: one, three or four parts."""
    parts = colour if isinstance(colour, (list, tuple)) else [colour]
    return all(part < 0.01 for part in parts) if len(parts) == 4 else all(part > 0.99 for part in parts)


def lanes(page, grey):
    """The solid part of every lane and the upright strokes before it: mean darkness, and how much it changes from place to place."""
    found = []
    for rect in page.rects:
        if not rect["fill"] or rect["stroke"] or rect["width"] < 20 or not 25 < rect["height"] < 60:
            continue
        # the ground of a label
        if is_white(rect["non_stroking_color"]):
            continue
        low, high = rect["top"] + 0.5 * rect["height"], rect["bottom"] - 2
        flat = grey.within(rect["x0"] + 8, low, rect["x0"] + 16, high)
        upright = grey.within(rect["x0"] - 8, low, rect["x0"] - 1.5, high)
        found.append({"flat": round(mean(flat), 3), "upright": round(mean(upright), 3), "contrast": round(max(upright) - min(upright), 3)})
    return found


def letters(page, grey):
    """The darkest pixel of the faintest letter, and that letter."""
    faintest = (1, "")
    for c in page.chars:
        # points and strokes that are thinner than a pixel say nothing of their ink
        if c["text"].isalnum() and c["size"] >= 8:
            dark = max(grey.within(c["x0"], c["top"], c["x1"], c["bottom"]))
            faintest = min(faintest, (round(dark, 3), c["text"]))
    return faintest


def main(path):
    shown = {"marks": [], "lanes": [], "letters": []}
    document = pypdfium2.PdfDocument(path)
    with pdfplumber.open(path) as pdf:
        for page, drawn in zip(pdf.pages, document, strict=True):
            grey = Grey(drawn)
            shown["marks"].append(marks(page, grey))
            shown["lanes"] += lanes(page, grey)
            shown["letters"].append(letters(page, grey))
    print(json.dumps(shown))


if __name__ == "__main__":
    main(sys.argv[1])
