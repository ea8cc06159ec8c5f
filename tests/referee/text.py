"""Turns a finished paper into its words, page by page, by two readers that share nothing: poppler and pdfium.

One invariant: running heads and feet are left out of the body, so that a sentence over two pages stays whole.
Must not: know which words are expected.
"""

import ctypes
import re
import subprocess
from collections import Counter
from dataclasses import dataclass

import pypdfium2
import pypdfium2.raw as raw

from sources import squeeze


def poppler(path):
    done = subprocess.run(["pdftotext", "-raw", "-enc", "UTF-8", str(path), "-"], capture_output=True, check=True)
    return done.stdout.decode("utf-8").split("\f")[:-1]


def pdfium(path):
    with pypdfium2.PdfDocument(path) as document:
        # pdfium gives a hyphen at the end of a line as U+FFFE, taking it for a word cut in two; the program cuts no words
        return [page.get_textpage().get_text_range().replace("\ufffe", "-") for page in document]


READERS = {"poppler": poppler, "pdfium": pdfium}


def bodies(pages):
    """Each page's words, squeezed, without the lines that stand on every page."""
    split = [[re.sub(r"\d+", "#", squeeze(line)) for line in page.splitlines()] for page in pages]
    seen = Counter(line for page in split for line in set(page))
    furniture = {line for line, times in seen.items() if times == len(pages) and len(pages) > 1}
    keep = lambda page: [line for line in page.splitlines() if re.sub(r"\d+", "#", squeeze(line)) not in furniture]
    return [squeeze("".join(keep(page))) for page in pages]


def pages_of(pattern, pages):
    """Every page (from 1) on which the words begin, once per time they are said; they may run on to the next page."""
    whole, starts, at = "".join(pages), [], 0
    for page in pages:
        starts.append(at)
        at += len(page)
    return [sum(start <= match.start() for start in starts) for match in pattern.finditer(whole)]


def is_artifact(thing):
    """Whether a page object lies in marked content /Artifact, at any depth: pdfium keeps the whole stack of marks."""
    for number in range(raw.FPDFPageObj_CountMarks(thing)):
        name, size = (ctypes.c_ushort * 32)(), ctypes.c_ulong()
        raw.FPDFPageObjMark_GetName(raw.FPDFPageObj_GetMark(thing, number), name, ctypes.sizeof(name), size)
        if bytes(name)[: max(size.value - 2, 0)].decode("utf-16-le") == "Artifact":
            return True
    return False


@dataclass
class Furniture:
    """Running head and foot of a page: where they end, points from the top of the page, and their words."""

    head_bottom: float
    foot_top: float
    words: str


def furniture(path):
    """What stands outside the reading order at the top and the bottom of each page."""
    found = []
    with pypdfium2.PdfDocument(path) as document:
        for page in document:
            width, height = page.get_size()
            things = page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT])
            bounds = [thing.get_bounds() for thing in things if is_artifact(thing.raw)]
            low = min((bottom for _, bottom, _, top in bounds if bottom > height / 2), default=height)
            high = max((top for _, bottom, _, top in bounds if top <= height / 2), default=0.0)
            words = page.get_textpage()
            head = words.get_text_bounded(0, low - 1, width, height)
            foot = words.get_text_bounded(0, 0, width, high + 1)
            found.append(Furniture(height - low + 1, height - high - 1, f"{head} {foot}"))
    return found
