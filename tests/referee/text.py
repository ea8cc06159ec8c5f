"""Turns a finished paper into its words, page by page, by two readers that share nothing: poppler and pdfium.

One invariant: running heads and feet are left out of the body, so that a sentence over two pages stays whole.
Must not: know which words are expected.
"""

import re
import subprocess
from collections import Counter

import pypdfium2

from sources import squeeze


def poppler(path):
    done = subprocess.run(["pdftotext", "-raw", "-enc", "UTF-8", str(path), "-"], capture_output=True, check=True)
    return done.stdout.decode("utf-8").split("\f")[:-1]


def pdfium(path):
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_range() for page in document]


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


def strips(path, bands):
    """The words pdfium finds in a band of each page; `bands` gives (left, bottom, right, top) per page."""
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_bounded(*band) for page, band in zip(document, bands, strict=True)]
