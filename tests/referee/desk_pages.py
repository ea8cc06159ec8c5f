"""Opens the screens of the page on loopback in a browser, one by one, with scripts and without: accessible, within its own address, nothing kept.

One invariant: every screen is judged at every width, in every look, with and without scripts; a fault ends this with exit status 1.
Must not: know what stands on a screen, or go to an address that is not on this machine. The one file that it writes is named in a step.

Reads from standard input:
    {"address": "http://127.0.0.1:PORT/TOKEN/",
     "screens": [{"name": "list", "path": "", "steps": [["click", "text=…"], …]}, …],
     "widths": [1024, 390, 1280], "looks": ["light", "dark"], "scripts": [true, false], "pictures": "folder"}
All but address and screens may be left out. A step is done after the screen is open and before it is judged: `["click", where]`,
`["fill", where, text]`, `["choose", where, value]`, `["check", where]`, `["press", key]`, `["wait", where]`, `["focus", where]` (is the
keyboard there?), `["file", where, path]`, `["copy", from, to]` (somebody else writes a file), `["at", where, x, y]` (a click, in parts of
its width and height). `where` is a CSS selector: playwright's own
`text=` does not look into `noscript`. A screen with `"scripts": true` or `false` is opened in that way only; one with `"views"`, a list
of `[width, look, scripts]`, in these only. `"hold": true` takes out what would send the page on by itself before anybody has read it.
A screen's `once` are steps before the first of its views only, after which it is opened again; its `patience` is in seconds; its `address` is that of another desk. `locale` is what the browser's reader reads.
With `pictures`, what each looks like is put there; with `"clip": height` on a screen only its top, in few colours, under its name alone.
"""

import json
import re
import shutil
import sys
import time
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from PIL import Image
from playwright.sync_api import Error

from in_browser import Tab, browser

# a window of 1280 that is read at 200 % (WCAG 2.2, 1.4.4) is 640 wide
TWICE = 640
LOW = 560
# seconds; nobody measures speed here, and a machine may have other work
PATIENCE = 30
SENT_ON = re.compile(r'<meta http-equiv="refresh"[^>]*>')


def step(page, patience, what, *how):
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
            end = time.monotonic() + patience
            while not page.locator(how[0]).first.is_visible():
                if time.monotonic() > end:
                    raise AssertionError(f"{how[0]} does not appear")
                time.sleep(0.05)
        case "file":
            page.set_input_files(how[0], how[1])
        case "at":
            # a picture has its size once it is there
            drawn = "one => one.tagName !== 'IMG' || one.decode()"
            page.locator(how[0]).first.evaluate(drawn)
            box = page.locator(how[0]).first.bounding_box()
            page.locator(how[0]).first.click(position={"x": how[1] * box["width"], "y": how[2] * box["height"]})
        case "copy":
            shutil.copyfile(how[0], how[1])
        case "focus":
            if not page.evaluate("where => document.activeElement === document.querySelector(where)", how[0]):
                raise AssertionError(f"the keyboard is not at {how[0]}")
        case _:
            raise SystemExit(f"no such step: {what}")


def again(page, address):
    """Goes there, also where the page is on its way somewhere: of two ways at once a browser gives one up."""
    for _ in range(3):
        try:
            return page.goto(address)
        except Error as error:
            if "ERR_ABORTED" not in str(error):
                raise
            time.sleep(0.3)
    return page.goto(address)


def left_behind(tab):
    """A step may also take a part of the page away while its pictures are on their way; what a new page leaves behind, the tab knows."""
    tab.faults = [fault for fault in tab.faults if not fault.endswith("net::ERR_ABORTED")]


def hold(route):
    if route.request.resource_type != "document":
        return route.continue_()
    answer = route.fetch(max_redirects=0)
    if "text/html" not in answer.headers.get("content-type", ""):
        return route.fulfill(response=answer)
    return route.fulfill(response=answer, body=SENT_ON.sub("", answer.text()))


def views(said, screen):
    """Width, look, and whether scripts run: those of the screen, or all."""
    if "views" in screen:
        return [tuple(view) for view in screen["views"]]
    return [
        (width, look, scripts)
        for scripts in said.get("scripts", [True, False])
        if screen.get("scripts", scripts) == scripts
        for width in [*said.get("widths", [1024, 390, 1280]), TWICE]
        for look in said.get("looks", ["light", "dark"])
    ]


def picture(page, folder, screen, view):
    width, look, scripts = view
    if "clip" not in screen:
        kind = "" if scripts else "-without-scripts"
        page.screenshot(path=folder / f"{screen['name']}-{width}-{look}{kind}.png", full_page=True, caret="initial")
        return
    page.wait_for_load_state("networkidle")
    place = folder / f"{screen['name']}.png"
    page.screenshot(path=place, clip={"x": 0, "y": 0, "width": width, "height": screen["clip"]}, caret="initial")
    Image.open(place).convert("RGB").quantize(48, dither=Image.Dither.NONE).save(place, optimize=True)


def look_at(browser, said, screen, view, is_first):
    width, look, scripts = view
    address = screen.get("address", said["address"])
    more = {"device_scale_factor": 2} if width == TWICE else {}
    tab = Tab(browser, width, look, lambda asked: asked.startswith(address), scripts, locale=said.get("locale", "en-GB"), **more)
    patience = screen.get("patience", PATIENCE)
    tab.page.set_default_timeout(patience * 1000)
    rules = 0
    if screen.get("hold"):
        tab.page.route("**/*", hold)
    try:
        answer = tab.open(urljoin(address, screen["path"]))
        if answer.status != screen.get("status", 200):
            tab.faults.append(f"status {answer.status}")
        if is_first and "once" in screen:
            for one in screen["once"]:
                step(tab.page, patience, *one)
            # the answer to the last step may be on its way here itself
            tab.page.wait_for_load_state("load")
            again(tab.page, urljoin(address, screen["path"]))
            left_behind(tab)
        for one in screen.get("steps", []):
            step(tab.page, patience, *one)
        if screen.get("steps"):
            # words can be there before the style sheet of their page is, and a page without one would be judged
            tab.page.wait_for_load_state("load")
            left_behind(tab)
        if said.get("pictures"):
            picture(tab.page, Path(said["pictures"]), screen, view)
        # in a low window nothing stays in view over something else, whose colours could not be judged then
        tab.page.set_viewport_size({"width": width, "height": LOW})
        rules = tab.axe()
        tab.sideways()
        tab.kept()
    except (Error, AssertionError) as error:
        tab.faults.append(f"{type(error).__name__}: {str(error).splitlines()[0]}")
    tab.page.unroute_all(behavior="ignoreErrors")
    # what the browser says of a page that was to be refused
    wanted = f"status of {screen['status']} " if "status" in screen else None
    return rules, [fault for fault in tab.close() if not wanted or wanted not in fault]


def main():
    said = json.load(sys.stdin)
    for address in {said["address"], *(screen["address"] for screen in said["screens"] if "address" in screen)}:
        if urlsplit(address).hostname != "127.0.0.1":
            raise SystemExit(f"{address} is not on loopback")
    if said.get("pictures"):
        Path(said["pictures"]).mkdir(parents=True, exist_ok=True)
    faults, asked, seen = [], 0, 0
    with browser() as chromium:
        for screen in said["screens"]:
            for number, view in enumerate(views(said, screen)):
                width, look, scripts = view
                rules, found = look_at(chromium, said, screen, view, number == 0)
                seen, asked = seen + 1, asked + rules
                kind = "" if scripts else ", without scripts"
                faults += [f"{screen['name']}, {width} px, {look}{kind}: {fault}" for fault in found]
    print("\n".join(dict.fromkeys(faults)) or f"{seen} views of {len(said['screens'])} screens, {asked} rules that found something to judge")
    sys.exit(bool(faults) or not asked)


main()
