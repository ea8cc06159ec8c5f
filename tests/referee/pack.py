"""Holds a file to print against the papers it is made of, page by page.

    pack.py PACK FOLDER < LIST      (LIST: JSON, the papers in order, each [file, copies]; a slip comes before them)

One invariant: what is on a page is read by pdfium (words) and drawn by poppler (pixels), from both files; qpdf's library checks
the pack's syntax. Must not: know how the pack was put together.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import pikepdf

from text import pdfium

DOTS = 50  # to the inch: letters are told apart, and a day is drawn in seconds


def drawn(path):
    """The pixels of each page."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(DOTS), "-gray", str(path), f"{folder}/p"], check=True, capture_output=True)
        return [page.read_bytes() for page in sorted(Path(folder).iterdir())]


def faults(pack, folder, papers):
    with pikepdf.open(pack) as pdf:
        yield from (f"qpdf: {problem}" for problem in pdf.check_pdf_syntax())
        sizes = {tuple(round(float(side)) for side in page.mediabox) for page in pdf.pages}
        if len(sizes) != 1:
            yield f"pages of several sizes: {sizes}"
    words, pixels = pdfium(pack), drawn(pack)
    read = {}
    at = 0
    # the slip has its own pages: up to the first page of the first paper
    first = pdfium(folder / papers[0][0])[0]
    while at < len(words) and words[at] != first:
        at += 1
    if at == 0 or at % 2:
        yield f"{at} pages before the first paper"
    slip = "".join(words[:at])
    for name, copies in papers:
        if name not in read:
            read[name] = (pdfium(folder / name), drawn(folder / name))
        paper_words, paper_pixels = read[name]
        for copy in range(copies):
            if at % 2:
                yield f"{name}, copy {copy + 1}: begins on a back"
            for page, (said, seen) in enumerate(zip(paper_words, paper_pixels, strict=True)):
                if at >= len(words):
                    yield f"{name}: page {page + 1} is missing"
                elif words[at] != said:
                    yield f"{name}: page {page + 1} has other words"
                elif pixels[at] != seen:
                    yield f"{name}: page {page + 1} looks different"
                at += 1
            if at % 2:
                header, blank = pixels[at].split(b"255\n", 1)
                if words[at].strip() or set(blank) != {255}:
                    yield f"{name}: its back is not blank"
                at += 1
    if at != len(words):
        yield f"{len(words) - at} pages too many"
    print(json.dumps({"slip": slip, "pages": len(words)}))


def main(pack, folder):
    found = list(faults(Path(pack), Path(folder), json.load(sys.stdin)))
    for fault in found:
        print(fault, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
