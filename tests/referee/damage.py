"""Turns a good paper into copies with one planted fault each, so that a judge who passes everything is found out.

One invariant: one fault per copy, named in the file name.
Must not: be used on anything but copies.
"""

import re
from pathlib import Path

import pikepdf

from structure import walk


def no_lang(pdf):
    del pdf.Root.Lang


def no_tree(pdf):
    del pdf.Root.StructTreeRoot
    del pdf.Root.MarkInfo


def _metadata_without(pdf, pattern):
    xmp = pdf.Root.Metadata.read_bytes().decode("utf-8")
    cut = re.sub(pattern, "", xmp, flags=re.S)
    assert cut != xmp, "the metadata did not hold what is to be removed"
    pdf.Root.Metadata.write(cut.encode("utf-8"))


def no_title(pdf):
    _metadata_without(pdf, r"<dc:title>.*?</dc:title>")


def no_ua_mark(pdf):
    _metadata_without(pdf, r"<pdfuaid:part>.*?</pdfuaid:part>")


def no_font(pdf):
    for page in pdf.pages:
        for font in page.resources.Font.values():
            descriptor = font.DescendantFonts[0].FontDescriptor
            for key in ("/FontFile2", "/FontFile3"):
                if key in descriptor:
                    del descriptor[key]


def no_table_header(pdf):
    for element in walk(pdf.Root.StructTreeRoot.K):
        if element.S in ("/TH", "/TD"):
            element.S = pikepdf.Name.TD
            if "/A" in element:
                del element.A


def heading_skip(pdf):
    first = next(element for element in walk(pdf.Root.StructTreeRoot.K) if element.S == "/H2")
    first.S = pikepdf.Name.H4


def _around(page, before, after):
    body = b"\n".join(stream.read_bytes() for stream in _streams(page))
    return before + b"\n" + body + b"\n" + after


def _streams(page):
    contents = page.obj.Contents
    return list(contents) if isinstance(contents, pikepdf.Array) else [contents]


def shrunk_page(pdf):
    page = pdf.pages[0]
    page.obj.Contents = pdf.make_stream(_around(page, b"q 0.8 0 0 0.8 -20 0 cm", b"Q"))


def doubled_page(pdf):
    page = pdf.pages[0]
    body = _around(page, b"q", b"Q")
    page.obj.Contents = pdf.make_stream(body + _around(page, b"q 1 0 0 1 2 -4 cm", b"Q"))


def swapped_pages(pdf):
    first = pdf.pages[0]
    del pdf.pages[0]
    pdf.pages.insert(1, first)


# What must be noticed by whom: "validator" for veraPDF (PDF/UA-1), "reader" for our own rules.
DAMAGES = {
    no_lang: ("validator", "reader"),
    no_tree: ("validator", "reader"),
    no_title: ("validator", "reader"),
    no_ua_mark: ("validator",),
    no_font: ("validator", "reader"),
    heading_skip: ("validator", "reader"),
    no_table_header: ("reader",),
    shrunk_page: ("reader",),
    doubled_page: ("reader",),
    swapped_pages: ("reader",),
}


def plant(path, folder):
    """Writes every damaged copy; gives file name and who must notice."""
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    for damage, judges in DAMAGES.items():
        target = folder / f"{damage.__name__}.pdf"
        with pikepdf.open(path) as pdf:
            damage(pdf)
            pdf.save(target)
        yield target, judges
