"""Reads a page for a telephone with Python's own HTML parser, and compares its statements with those given.

One invariant: shares no code with the program; a page with a fault ends this with exit status 1.
Must not: look at how a page is drawn.
"""

import json
import sys
from html.parser import HTMLParser

VOID = {"meta", "img", "br", "hr", "input", "link"}
ELEMENTS = set(
    "html head meta title style body header main nav details summary footer section div p span strong bdi h1 h2 h3 ul li dl dt dd a img table thead "
    "tbody tr th td figure figcaption svg path circle text".split()
)


class Page(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.faults, self.said, self.ids, self.levels = [], [], {}, [], []

    def handle_startendtag(self, tag, attributes):
        self.begin(tag, attributes)

    def handle_starttag(self, tag, attributes):
        mark = self.begin(tag, attributes)
        if tag not in VOID:
            self.open.append((tag, mark))

    def begin(self, tag, attributes):
        if tag not in ELEMENTS:
            self.faults.append(f"element {tag}")
        names = [name for name, _ in attributes]
        if len(set(names)) != len(names):
            self.faults.append(f"an attribute twice in {tag}")
        for name, value in attributes:
            value = value or ""
            if name.startswith("on") or name == "style":
                self.faults.append(f"attribute {name}")
            if name == "src" and not value.startswith("data:image/"):
                self.faults.append(f"src {value}")
            if name == "href" and not value.startswith(("tel:", "#part-", "data:text/calendar;charset=utf-8;base64,")):
                self.faults.append(f"href {value}")
        known = dict(attributes)
        if tag == "th" and "scope" not in known:
            self.faults.append("a th without scope")
        if tag == "svg" and "aria-label" not in known and known.get("aria-hidden") != "true":
            self.faults.append("a drawing without words")
        if tag in ("h1", "h2", "h3"):
            self.levels.append(int(tag[1]))
        mark = known.get("data-statement")
        if mark is not None:
            self.ids.append(mark)
            self.said[mark] = ""
        return mark

    def handle_endtag(self, tag):
        if not self.open or self.open.pop()[0] != tag:
            self.faults.append(f"</{tag}> closes nothing")

    def handle_data(self, data):
        for _, mark in self.open:
            if mark is not None:
                self.said[mark] += data


def squeeze(text):
    return "".join(text.split()).replace("•", "")


checked = 0
faults = []
for case in json.load(sys.stdin):
    page = Page()
    page.feed(case["page"])
    page.close()
    found = list(page.faults)
    if page.open:
        found.append(f"left open: {page.open}")
    if len(page.ids) != len(set(page.ids)):
        found.append("a statement twice")
    if page.levels[:1] != [1] or page.levels.count(1) != 1 or any(b > a + 1 for a, b in zip(page.levels, page.levels[1:])):
        found.append(f"headings {page.levels}")
    for name, words in case["statements"].items():
        checked += 1
        if squeeze(page.said.get(name, "")) != squeeze(words):
            found.append(f"{name}: {page.said.get(name)!r} is not {words!r}")
    for name in set(page.said) - set(case["statements"]):
        found.append(f"{name} is not in the paper")
    faults += [f"{case['name']}: {fault}" for fault in found]
print("\n".join(faults) or f"{checked} statements as composed")
sys.exit(bool(faults))
