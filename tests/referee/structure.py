"""Turns one finished paper into faults of its structure: catalogue entries, headings, tables, figures, fonts.

One invariant: looks at the objects in the file with pikepdf; no page is rendered and no program of ours is asked.
Must not: claim that a paper is accessible; a machine sees part of it only.
"""

import pikepdf

HEADINGS = {f"/H{level}": level for level in range(1, 7)}


def walk(node):
    """Every structure element below a node, in reading order."""
    if isinstance(node, pikepdf.Array):
        for kid in node:
            yield from walk(kid)
    elif isinstance(node, pikepdf.Dictionary):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from walk(node.K)


def attribute(element, name):
    """Attribute of a structure element, from whichever of its attribute dictionaries has it."""
    owners = element.get("/A", [])
    for owner in owners if isinstance(owners, pikepdf.Array) else [owners]:
        if isinstance(owner, pikepdf.Dictionary) and name in owner:
            return owner[name]
    return None


def words_in(element):
    """Whether an element holds marked content at all, here or below."""
    kids = element.get("/K")
    if kids is None:
        return False
    kids = kids if isinstance(kids, pikepdf.Array) else [kids]
    return any(not isinstance(kid, pikepdf.Dictionary) or kid.get("/Type") == "/MCR" or words_in(kid) for kid in kids)


def entries(pdf, language):
    root = pdf.Root
    with pdf.open_metadata() as metadata:
        title = metadata.get("dc:title")
    if not title:
        yield "no dc:title in the metadata"
    if str(root.get("/Lang", "")).split("-")[0] != language:
        yield f"document language is {root.get('/Lang')!s}, not {language}"
    if not root.get("/MarkInfo", {}).get("/Marked", False):
        yield "MarkInfo does not say Marked"
    if not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle", False):
        yield "DisplayDocTitle is not set"
    if "/StructTreeRoot" not in root:
        yield "no structure tree"


def headings(elements):
    level = 0
    for element in elements:
        here = HEADINGS.get(str(element.S))
        if here is None:
            continue
        if level == 0 and here != 1:
            yield f"the first heading is H{here}"
        elif here > level + 1:
            yield f"a heading H{here} follows H{level}"
        if not words_in(element):
            yield f"an empty heading H{here}"
        level = here
    if level == 0:
        yield "no heading"


def tables(elements):
    for element in elements:
        if element.S == "/Table":
            cells = [cell for cell in walk(element.K) if cell.S in ("/TH", "/TD")]
            heads = [cell for cell in cells if cell.S == "/TH"]
            ids = {str(cell.ID) for cell in heads if "/ID" in cell}
            scoped = [cell for cell in heads if attribute(cell, "/Scope") is not None]
            if not heads:
                yield "a table without header cells"
            for cell in cells:
                named = {str(name) for name in attribute(cell, "/Headers") or []}
                if cell.S == "/TD" and not scoped and not named:
                    yield "a table cell without header: no TH with Scope, no Headers"
                if named - ids:
                    yield f"a table cell names headers that are not there: {sorted(named - ids)}"
            for row in (row for row in walk(element.K) if row.S == "/TR"):
                if not any(cell.S in ("/TH", "/TD") for cell in walk(row.get("/K", []))):
                    yield "a table row without cells"


def figures(elements):
    for element in elements:
        if element.S in ("/Figure", "/Formula") and not str(element.get("/Alt", "")).strip():
            yield f"a {str(element.S)[1:]} without Alt"


def fonts(pdf):
    for number, page in enumerate(pdf.pages, 1):
        for name, font in page.resources.get("/Font", {}).items():
            inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
            descriptor = inner.get("/FontDescriptor", {})
            if not any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3")):
                yield f"page {number}: font {font.get('/BaseFont', name)!s} is not embedded"


def faults(path, language):
    with pikepdf.open(path) as pdf:
        yield from entries(pdf, language)
        elements = list(walk(pdf.Root.StructTreeRoot.get("/K", []))) if "/StructTreeRoot" in pdf.Root else []
        yield from headings(elements)
        yield from tables(elements)
        yield from figures(elements)
        yield from fonts(pdf)


def title(path):
    with pikepdf.open(path) as pdf, pdf.open_metadata() as metadata:
        return str(metadata.get("dc:title") or "")
