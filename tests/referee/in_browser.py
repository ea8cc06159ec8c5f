"""Turns a page that is open in Debian's Chromium into faults: what axe-core finds, scrolling sideways, requests, errors.

One invariant: every rule of axe-core is asked, those that are off by default too; what is let pass is named in a table with its reason.
Must not: know which pages there are, or reach anything but this machine.
"""

import shutil
import sys
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import sync_playwright

# the virtual environment lies beside it
AXE = (Path(sys.prefix).parent / "axe.min.js").read_text(encoding="utf-8")

LOOKS = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "forced": {"color_scheme": "dark", "forced_colors": "active"},
}

# what axe-core is wrong about, or leaves to people: rule, part of the element, whether also when axe-core is sure, why it is no fault
LET_PASS = [
    ("p-as-heading", 'class="number"', True, "a telephone number in large type is no heading; the rule is an experiment of axe-core's"),
    ("color-contrast", "<text ", False, "one character in a drawing is too short for it; its colour is that of the lines and of the text around"),
    ("color-contrast-enhanced", "<text ", False, "the same"),
    ("color-contrast", '<span class="disc"', False, "one number is too short for it; its colour is that of the text around. Beside the face: lines of a drawing go on, cut off and unseen, below it, where the list stands"),
    ("color-contrast-enhanced", '<span class="disc"', False, "the same"),
    ("hidden-content", "", False, "asks a person to open what is hidden; what is for print only is looked at in print"),
]

ASK = """async () => {
  const rules = Object.fromEntries(axe.getRules().map(rule => [rule.ruleId, {enabled: true}]));
  const found = await axe.run(document, {rules, resultTypes: ['violations', 'incomplete']});
  const told = (results, sure) => results.flatMap(({id, help, nodes}) => nodes.map(node => ({id, help, sure, html: node.html,
    why: [...node.any, ...node.all, ...node.none].map(check => check.message).join('; ')})));
  return {asked: found.passes.length + found.violations.length + found.incomplete.length,
    found: [...told(found.violations, true), ...told(found.incomplete, false)]};
}"""

# the element that sticks out furthest, when the page can be scrolled sideways
SIDEWAYS = """() => {
  const wide = document.documentElement.clientWidth, needs = document.documentElement.scrollWidth;
  if (needs <= wide) return null;
  const right = element => element.getBoundingClientRect().right;
  const worst = [...document.body.querySelectorAll('*')].reduce((a, b) => right(b) > right(a) ? b : a);
  return `${needs} px wide on ${wide} px: ${worst.outerHTML.slice(0, 120)}`;
}"""

# WCAG 2.2, 1.4.12: what a reader may set; 1.4.4: letters of twice the size
READERS_OWN = {
    "with text spacing": "* {line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important}"
    " p {margin-bottom: 2em !important}",
    "with letters of twice the size": "html {font-size: 200% !important}",
}
SET = """style => { const sheet = new CSSStyleSheet(); sheet.replaceSync(style); document.adoptedStyleSheets = [sheet]; }"""


@contextmanager
def browser():
    """Debian's Chromium, which can look up no name and reach no machine but this one."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            # a container has no sandbox to offer, and root is refused one; what is opened is our own
            chromium_sandbox=False,
            args=["--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1", "--disable-quic"],
        )
        yield started
        started.close()


class Tab:
    """One page in a context of its own, whose requests and complaints are written down as faults."""

    def __init__(self, browser, width, look="light", inside=lambda address: False, scripts=True, **more):
        """`inside`: which addresses may be asked for. Without `scripts` the page's own scripts do not run; ours do."""
        self.context = browser.new_context(viewport={"width": width, "height": 900}, **LOOKS[look], **more)
        self.page = self.context.new_page()
        self.faults = []
        self.under_way, self.left_behind = set(), set()
        self.scripts = scripts
        self.page.on("console", self.complained)
        self.page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        self.page.on("request", lambda asked: inside(asked.url) or self.faults.append(f"request: {asked.url[:120]}"))
        self.page.on("request", self.asked)
        self.page.on("requestfailed", self.failed)
        self.context.on("page", lambda other: other is self.page or self.faults.append(f"another page was opened: {other.url}"))
        self.page.on("download", lambda file: self.faults.append(f"download: {file.url[:120]}"))

    def asked(self, one):
        """Whoever goes to another page leaves behind what was still on its way."""
        if one.is_navigation_request():
            self.left_behind |= self.under_way
            self.under_way = set()
        self.under_way.add(one)

    def failed(self, one):
        if not (one in self.left_behind and "ERR_ABORTED" in str(one.failure)):
            self.faults.append(f"request failed: {one.url[:120]}: {one.failure}")

    def complained(self, said):
        if said.type in ("error", "warning"):
            self.faults.append(f"console: {said.text[:200]} ({said.location['url'][:120]})")

    def open(self, address):
        """Loads the page; answers its status."""
        # by the debugger and not by the context, which could not be told otherwise later
        self.control = self.context.new_cdp_session(self.page)
        self.control.send("Emulation.setScriptExecutionDisabled", {"value": not self.scripts})
        return self.page.goto(address, wait_until="load")

    def axe(self):
        """How many rules found something to judge; faults are written down. From here on scripts can run, as axe-core must."""
        if not self.scripts:
            self.control.send("Emulation.setScriptExecutionDisabled", {"value": False})
            # what the page would run has been passed over by now; what it shows in place of that must stay
            self.page.evaluate(SET, "noscript {display: block !important}")
        # not as an element of the page, which its policy would refuse
        self.page.evaluate(AXE)
        said = self.page.evaluate(ASK)
        for one in said["found"]:
            if any(rule == one["id"] and part in one["html"] and (always or not one["sure"]) for rule, part, always, _ in LET_PASS):
                continue
            doubt = "" if one["sure"] else " (axe-core is not sure)"
            self.faults.append(f"{one['id']}{doubt}: {one['help']}: {one['html'][:160]}: {one['why'][:200]}")
        return said["asked"]

    def sideways(self):
        """Scrolling in two directions, as it stands and with what a reader may set."""
        found = {"": self.page.evaluate(SIDEWAYS)}
        for name, style in READERS_OWN.items():
            self.page.evaluate(SET, style)
            found[" " + name] = self.page.evaluate(SIDEWAYS)
        self.page.evaluate(SET, "noscript {display: block !important}" if not self.scripts else "")
        self.faults += [f"sideways{name}: {fault}" for name, fault in found.items() if fault]

    def tables(self):
        """Tables must be tables for a screen reader too, however they are drawn; answers how many cells were seen."""
        tree = self.control.send("Accessibility.getFullAXTree")["nodes"]
        told = [node["role"]["value"] for node in tree if not node.get("ignored") and "role" in node]
        seen = 0
        for role, selector in {"table": "table", "row": "tr", "columnheader": "thead th", "rowheader": "tbody th", "cell": "td"}.items():
            # not those of what is for paper alone, which nobody is told of
            count = "selector => [...document.querySelectorAll(selector)].filter(one => one.checkVisibility()).length"
            there = self.page.evaluate(count, selector)
            seen += there
            if told.count(role) != there:
                self.faults.append(f"tables: {there} {selector}, of which a screen reader is told {told.count(role)}")
        return seen

    def kept(self):
        """What the browser was made to keep."""
        for cookie in self.context.cookies():
            self.faults.append(f"kept: cookie {cookie['name']}")
        kept = self.page.evaluate(
            """async () => ({localStorage: localStorage.length, sessionStorage: sessionStorage.length,
            indexedDB: (await indexedDB.databases()).length, caches: (await caches.keys()).length,
            workers: (await navigator.serviceWorker.getRegistrations()).length})"""
        )
        self.faults += [f"kept: {name}" for name, count in kept.items() if count]

    def close(self):
        self.context.close()
        return self.faults
