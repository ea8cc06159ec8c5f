"""Turns one finished paper into faults of its pages: size, margins, overlaps, small print, running head and foot.

One invariant: every position comes from the glyphs in the file, read by pdfplumber; words of a strip from pdfium.
Must not: know how the template arrives at its measures.
"""

import datetime
import re
import unicodedata

from sources import squeeze
from structure import title
from text import pdfium

CM = 72 / 2.54
MARGIN = 1.5 * CM  # body text; running head and foot are exempt
EDGE = 0.7 * CM  # nothing at all nearer: desk printers cannot print there (common practice, no source)
CELL = 12.0  # points; about as wide as the widest glyph of body text
SMALLEST = 9.0  # points: labels and the running foot; what is read is larger, which the program's own checks hold


def ink(page):
    return [c for c in page.chars if c["text"].strip() and c["width"] > 0]


def is_mark(c):
    """Combining marks stand on top of their letter on purpose."""
    return all(unicodedata.category(x) in ("Mn", "Me", "Cf") for x in c["text"])


def overlaps(chars):
    """Pairs of glyphs printed over each other: same place across, less than 0.6 of a size apart down. Only what shares a strip of the
    page, CELL wide, can lie over another."""
    strips = {}
    for one in sorted((c for c in chars if not is_mark(c)), key=lambda c: c["bottom"]):
        seen = set()
        for strip in range(int(one["x0"] // CELL), int(one["x1"] // CELL) + 1):
            above = strips.setdefault(strip, [])
            for other in reversed(above):
                down = one["bottom"] - other["bottom"]
                if down >= 0.6 * one["size"]:
                    break
                across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
                narrow = min(one["width"], other["width"])
                if down < 0.6 * other["size"] and across > max(0.5 * narrow, 1) and id(other) not in seen:
                    seen.add(id(other))
                    yield other, one
            above.append(one)


def page_faults(page, size, frame):
    width, height = float(page.width), float(page.height)
    if abs(width - size[0]) > 0.5 or abs(height - size[1]) > 0.5:
        yield f"is {width:.0f} x {height:.0f} pt, should be {size[0]:.0f} x {size[1]:.0f} pt"
    chars = ink(page)
    # a line of the head or foot is told by its middle: boxes of glyphs are taller than their ink
    body = [c for c in chars if frame.head_bottom < (c["top"] + c["bottom"]) / 2 < frame.foot_top]
    if not body:
        yield "is empty"
    for name, group, limit in (("body text", body, MARGIN), ("text", chars, EDGE)):
        out = [
            c for c in group
            if c["x0"] < limit or c["x1"] > width - limit or c["top"] < limit or c["bottom"] > height - limit
        ]  # fmt: skip
        if out:
            yield f"{name} nearer than {limit / CM:.1f} cm to the edge: {''.join(c['text'] for c in out[:20])!r}"
    for shape in page.lines + page.rects + page.curves:
        if shape["x0"] < MARGIN - 1 or shape["x1"] > width - MARGIN + 1:
            yield "a line or frame stands outside the margin"
            break
    small = [c for c in chars if c["size"] < SMALLEST - 0.01]
    if small:
        yield f"text of {min(c['size'] for c in small):.1f} pt: {''.join(c['text'] for c in small[:20])!r}"
    pairs = list(overlaps(chars))
    if pairs:
        one = pairs[0][0]
        yield f"{len(pairs)} glyphs printed over others, first {one['text']!r} at {one['x0']:.0f}, {one['top']:.0f} pt"


# written by hand, not taken from any locale data
SPANISH_MONTHS = (
    "enero", "febrero", "marzo", "abril", "mayo", "junio",
    "julio", "agosto", "septiembre", "octubre", "noviembre", "diciembre",
)  # fmt: skip


def spoken(date, language):
    """A date as papers of this language may write it, squeezed."""
    if not isinstance(date, datetime.date):
        date = datetime.date.fromisoformat(date)
    if language == "es":
        month = SPANISH_MONTHS[date.month - 1]
        short = "sept" if date.month == 9 else month[:3]
        return (f"{date.day}de{month}de{date.year}", f"{date.day}{short}{date.year}")
    short = ("Sep", "Sept") if date.month == 9 else (f"{date:%b}",)
    forms = [f"{date.day}{date:%B}{date.year}", f"{date:%B}{date.day},{date.year}"]
    for month in short:
        forms += [f"{date.day}{month}{date.year}", f"{month}{date.day},{date.year}"]
    return tuple(forms)


def furniture_faults(frames, kind, plan, language, words, first):
    """Identity, title, wording version and page number must stand in the head or foot of every page; the first page has its identity in
    its own grid, so all of its words are looked at."""
    patient = plan.data["patient"]
    # pdfium turns the words of a right-to-left name around within a line, so each word is looked for
    is_turned = any(unicodedata.bidirectional(c) in ("R", "AL") for c in patient["name"])
    name = [squeeze(word) for word in (patient["name"].split() if is_turned else [patient["name"]])]
    wanted = {
        "record number": (squeeze(patient["record"]),),
        "date of birth": spoken(patient["born"], language),
        "name of the paper": (squeeze(words[f"{kind}.short-title"]),),
    }
    for number, frame in enumerate(frames, 1):
        strip = squeeze(f"{frame.words} {first}" if number == 1 else frame.words)
        if not all(word in strip for word in name):
            yield f"page {number}: the patient's name is not in the running head or foot"
        for what, forms in wanted.items():
            if not any(form in strip for form in forms):
                yield f"page {number}: the {what} is not in the running head or foot"
        label = squeeze(words["paper.wording"].split("{{")[0])
        if not re.search(re.escape(label) + r"\d{4}-\d{2}", strip):
            yield f"page {number}: the wording version is not in the running head or foot"
        counted = words["paper.page-of"].replace("{{ page }}", str(number)).replace("{{ total }}", str(len(frames)))
        if not re.search(re.escape(squeeze(counted)) + r"(?!\d)", strip):
            yield f"page {number}: “{counted}” is not in the running head or foot"


def faults(pdf, frames, plan, kind, words):
    """Of a paper that pdfplumber has opened, and its heads and feet: reading the glyphs takes longest, and is done once."""
    for page, frame in zip(pdf.pages, frames, strict=True):
        for fault in page_faults(page, plan.page_size, frame):
            yield f"page {page.page_number} {fault}"
    if not title(pdf.path):
        yield "the file has no title"
    yield from furniture_faults(frames, kind, plan, plan.language(kind), words, pdfium(pdf.path)[0])
