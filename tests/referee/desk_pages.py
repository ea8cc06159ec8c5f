"""Opens the screens of the page on loopback in a browser, one by one, with scripts and without: accessible, within its own address, nothing kept.

One invariant: every screen is judged at every width, in every look, with and without scripts; a fault ends this with exit status 1.
Must not: know what stands on a screen, or go to an address that is not on this machine.

Reads from standard input:
    {"address": "http://127.0.0.1:PORT/TOKEN/",
     "screens": [{"name": "list", "path": "", "steps": [["click", "text=…"], …]}, …],
     "widths": [1024, 390, 1280], "looks": ["light", "dark"], "scripts": [true, false], "pictures": "folder"}
All but address and screens may be left out. A step is done after the screen is open and before it is judged: `["click", where]`,
`["fill", where, text]`, `["choose", where, value]`, `["check", where]`, `["press", key]`, `["wait", where]`, `["focus", where]` (is the
keyboard there?). `where` is a CSS selector: playwright's own `text=` does not look into `noscript`. A screen with `"scripts": true` or
`false` is opened in that way only. With `pictures`, what each looks like is put there.
"""

import json
import sys
import time
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from playwright.sync_api import Error

from in_browser import Tab, browser

# a window of 1280 that is read at 200 % (WCAG 2.2, 1.4.4) is 640 wide
TWICE = 640
PATIENCE = 5


def step(page, what, *how):
    match what:
        case "click":
            page.click(how[0])
        case "fill":
            page.fill(how[0], how[1])
        case "choose":
            page.select_option(how[0], how[1])
        case "check":
            page.check(how[0])
        case "press":
            page.keyboard.press(how[0])
        case "wait":
            # asked again and again from here: a page whose scripts are off cannot be told to wait
            end = time.monotonic() + PATIENCE
            while not page.locator(how[0]).first.is_visible():
                if time.monotonic() > end:
                    raise AssertionError(f"{how[0]} does not appear")
                time.sleep(0.05)
        case "focus":
            if not page.evaluate("where => document.activeElement === document.querySelector(where)", how[0]):
                raise AssertionError(f"the keyboard is not at {how[0]}")
        case _:
            raise SystemExit(f"no such step: {what}")


def look_at(browser, said, screen, width, look, scripts):
    address = said["address"]
    more = {"device_scale_factor": 2} if width == TWICE else {}
    tab = Tab(browser, width, look, lambda asked: asked.startswith(address), scripts, **more)
    tab.page.set_default_timeout(PATIENCE * 1000)
    rules = 0
    try:
        answer = tab.open(urljoin(address, screen["path"]))
        if answer.status != screen.get("status", 200):
            tab.faults.append(f"status {answer.status}")
        for one in screen.get("steps", []):
            step(tab.page, *one)
        rules = tab.axe()
        tab.sideways()
        tab.kept()
        if said.get("pictures"):
            kind = "" if scripts else "-without-scripts"
            place = Path(said["pictures"]) / f"{screen['name']}-{width}-{look}{kind}.png"
            tab.page.screenshot(path=place, full_page=True, caret="initial")
    except (Error, AssertionError) as error:
        tab.faults.append(f"{type(error).__name__}: {str(error).splitlines()[0]}")
    return rules, tab.close()


def main():
    said = json.load(sys.stdin)
    if urlsplit(said["address"]).hostname != "127.0.0.1":
        raise SystemExit(f"{said['address']} is not on loopback")
    if said.get("pictures"):
        Path(said["pictures"]).mkdir(parents=True, exist_ok=True)
    faults, asked, seen = [], 0, 0
    with browser() as chromium:
        for screen in said["screens"]:
            for scripts in said.get("scripts", [True, False]):
                if screen.get("scripts", scripts) != scripts:
                    continue
                for width in [*said.get("widths", [1024, 390, 1280]), TWICE]:
                    for look in said.get("looks", ["light", "dark"]):
                        rules, found = look_at(chromium, said, screen, width, look, scripts)
                        seen, asked = seen + 1, asked + rules
                        kind = "" if scripts else ", without scripts"
                        faults += [f"{screen['name']}, {width} px, {look}{kind}: {fault}" for fault in found]
    print("\n".join(dict.fromkeys(faults)) or f"{seen} views of {len(said['screens'])} screens, {asked} rules that found something to judge")
    sys.exit(bool(faults) or not asked)


main()
