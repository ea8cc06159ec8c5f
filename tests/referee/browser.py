"""Opens pages for a telephone in a browser, and gives them to the Nu validator: accessible, nothing sideways, nothing from outside.

One invariant: a page is judged as a patient opens it, a file on a telephone; a page with a fault ends this with exit status 1.
Must not: ask the program, or say that a page is accessible: rules find a part of what hinders people.

Standards: WCAG 2.2 by axe-core, every rule of it; HTML, CSS and ARIA by the Nu validator; reflow at 320 px (WCAG 1.4.10), text spacing
(1.4.12), size of letters (1.4.4), telephone numbers as addresses (RFC 3966).
"""

import io
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pikepdf
import pypdfium2

from in_browser import LOOKS, Tab, browser

VALIDATOR = Path(sys.prefix).parent / "java" / "vnu.jar"

# A table that is drawn as blocks on a narrow screen is none for some screen readers, unless roles say so; the validator, which does
# not look at style sheets, takes these roles for needless. And it does not take "data:" in a policy for a source, which a browser does
# (a picture that is refused there is an error on its console, and so a fault here).
LET_PASS = re.compile(
    "Resource violates Content Security Policy .meta tag.: image “data:"
    "|The “role” attribute must not be used on a “(td|th|tr)” element which has a “table” ancestor"
    "|The “(table|rowgroup|row|columnheader|rowheader|cell)” role is unnecessary for element"
)

# digits of what is shown, and of what is dialled
NUMBERS = """() => [...document.querySelectorAll('a[href^="tel:"]')].map(a => [a.textContent, a.getAttribute('href').slice(4)])"""

# Words that nobody sees on a narrow screen. Not of a table with several columns, whose heads stand before each cell there, not what is for
# paper alone, and not the folded list of the page's own headings.
UNSEEN = """() => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), unseen = [];
  for (let node; node = walker.nextNode();) {
    const element = node.parentElement;
    if (!node.data.trim() || element.closest('.print, nav, table:has([data-label]) thead')) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const {width, height} = range.getBoundingClientRect();
    let clipped = !element.checkVisibility({opacityProperty: true, visibilityProperty: true}) || width < 2 || height < 2;
    for (let one = element; one; one = one.parentElement) clipped ||= getComputedStyle(one).clipPath !== 'none';
    if (clipped) unseen.push(node.data.trim().slice(0, 60));
  }
  return unseen;
}"""


# The bar that stays in sight covers words until they are scrolled from under it, and of covered words axe-core says that it cannot tell. So
# it judges the page with the bar in its own place, where every word and the bar itself are seen.
IN_PLACE = "place => document.querySelectorAll('.bar').forEach(bar => { bar.style.position = place; })"


def squeeze(text):
    return "".join(text.split()).casefold()


def in_look(browser, case, address, look, width, counts):
    tab = Tab(browser, width, look, lambda asked: asked == address or asked.startswith("data:"))
    tab.open(address)
    tab.page.evaluate(IN_PLACE, "static")
    counts["rules"] += tab.axe()
    tab.page.evaluate(IN_PLACE, "")
    tab.sideways()
    if look == "light" and width == 320:
        counts["cells"] += tab.tables()
        numbers(tab, case)
        tab.faults += [f"unseen: {words}" for words in tab.page.evaluate(UNSEEN)]
    return [f"{look}, {width} px: {fault}" for fault in tab.close()]


def numbers(tab, case):
    called = tab.page.evaluate(NUMBERS)
    for shown, dialled in called:
        if not re.fullmatch(r"\+?[0-9]+", dialled):
            tab.faults.append(f"tel: {dialled} is no number")
        if re.sub(r"\(0\)|[^0-9]", "", shown) != dialled.lstrip("+") and re.sub("[^0-9]", "", shown) != dialled:
            tab.faults.append(f"tel: {shown} calls {dialled}")
    for number in case["numbers"]:
        if number not in [dialled for _, dialled in called]:
            tab.faults.append(f"tel: {number} cannot be called")


def on_paper(browser, case, address, counts):
    tab = Tab(browser, 1280, "dark", lambda asked: asked == address or asked.startswith("data:"))
    tab.open(address)
    title = tab.page.inner_text("h1")
    words = tab.page.evaluate("[...document.querySelectorAll('[data-statement]')].map(one => one.textContent)")
    printed = tab.page.pdf(format="A4", print_background=True)
    with pikepdf.open(io.BytesIO(printed)) as pdf:
        pages = len(pdf.pages)
    document = pypdfium2.PdfDocument(printed)
    text = squeeze(" ".join(page.get_textpage().get_text_bounded() for page in document))
    counts["sheets"] += pages
    if not 1 <= pages <= 40:
        tab.faults.append(f"{pages} pages")
    if squeeze(title) not in text:
        tab.faults.append("the title is not there")
    # words and not lines: a break between pages may stand anywhere
    lost = [word for words in words for word in words.split() if len(word) > 3 and squeeze(word) not in text]
    if lost:
        tab.faults.append(f"lost: {lost[:5]}")
    return [f"print: {fault}" for fault in tab.close()]


def validator(files):
    """Faults of each file, by its address."""
    ran = subprocess.run(
        ["java", "-Dfile.encoding=UTF-8", "-jar", str(VALIDATOR), "--format", "json", "--stdout", "--exit-zero-always", *map(str, files)],
        stdout=subprocess.PIPE,
        check=True,
    )
    faults = {}
    for said in json.loads(ran.stdout)["messages"]:
        if not LET_PASS.match(said["message"]):
            kind = said.get("subType", said["type"])
            place = said.get("extract", "").strip().replace("\n", " ")[:120]
            faults.setdefault(said.get("url", "").removeprefix("file:"), []).append(f"validator, {kind}: {said['message']}: {place}")
    return faults


def main():
    cases = json.load(sys.stdin)
    faults = []
    counts = {"rules": 0, "cells": 0, "sheets": 0}
    with tempfile.TemporaryDirectory() as folder, browser() as chromium:
        files = []
        for at, case in enumerate(cases):
            file = Path(folder) / f"{at}.html"
            file.write_text(case["page"], encoding="utf-8")
            files.append(file)
        told = validator(files)
        for case, file in zip(cases, files):
            address = file.as_uri()
            found = list(told.pop(str(file), []))
            every = [(look, width) for look in case.get("looks", LOOKS) for width in case.get("widths", [320, 1280])]
            for look, width in dict.fromkeys(map(tuple, case.get("views", every))):
                found += in_look(chromium, case, address, look, width, counts)
            if case.get("print", True):
                found += on_paper(chromium, case, address, counts)
            faults += [f"{case['name']}: {fault}" for fault in found]
        # a fault of no page: the validator itself
        faults += [f"{place}: {fault}" for place, those in told.items() for fault in those]
    print("\n".join(faults) or f"{len(cases)} pages, {counts['rules']} rules that found something to judge, {counts['cells']} parts of tables")
    if not all(counts.values()):
        print("something was not looked at")
        sys.exit(1)
    sys.exit(bool(faults))


main()
