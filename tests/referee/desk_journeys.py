"""Turns an opened desk into what a person at it comes to: each journey is walked in a real browser, by mouse, by keyboard, or
without script.

One invariant: a journey touches only what a person sees or hears: labels, buttons, links; never the server's paths.
Must not: look into the program's files, or repair a step that fails.
"""

import json
import re
import sys

from playwright.sync_api import expect, sync_playwright

# milliseconds; nobody measures speed here, and a machine may have other work
PATIENCE = 30000
expect.set_options(timeout=PATIENCE)


def named(page, role, name, **more):
    return page.get_by_role(role, name=name, **more)


def print_the_day(page, words):
    """The front desk's minute: tomorrow is chosen, one press puts questions on lists, one makes the pile, one opens it."""
    expect(page.get_by_role("heading", level=1)).to_contain_text(words["day"], ignore_case=True)
    rows = page.locator("table.day tbody tr")
    assert rows.count() == words["visits"], rows.count()
    # nothing of the front desk's page leads to a patient's answers
    assert page.locator("table.day th a").count() == 0
    named(page, "button", words["lists"]).click()
    expect(page.get_by_text(words["listed"])).to_be_visible()
    named(page, "button", words["print"]).click()
    pile = named(page, "link", words["open"])
    expect(pile).to_be_visible(timeout=60000)
    address = pile.get_attribute("href")
    answer = page.request.get(page.evaluate("path => new URL(path, location).href", address))
    assert answer.status == 200 and answer.body()[:5] == b"%PDF-", answer.status
    return {"sheets": page.locator("#act").inner_text()}


def fill_in(page, visit, pick):
    """A new visit from nothing; `pick` ticks an area."""
    named(page, "link", visit["place"]).first.click()
    named(page, "link", visit["new"]).click()
    # two fields may have one name where each stands under its own heading
    for section, label, text in visit["texts"]:
        named(page, "region", section, exact=True).get_by_label(label, exact=True).fill(text)
    for section, label, choice in visit["choices"]:
        named(page, "region", section, exact=True).get_by_label(label, exact=True).select_option(label=choice)
    for area in visit["areas"]:
        pick(page, area)
        part = page.locator("fieldset.area").filter(has=page.locator("legend", has_text=area["name"])).last
        expect(part).to_be_visible()
        if area.get("side"):
            named(part, "radio", area["side"]).check()
        for label, text in area["texts"]:
            part.get_by_label(label, exact=True).fill(text)
        for label, choice in area.get("choices", []):
            part.get_by_label(label, exact=True).select_option(label=choice)


def worked_out(page):
    """Waits until what stands beside the form, and which questions matter, is of what was filled in last."""
    expect(page.locator("#beside")).not_to_have_attribute("aria-busy", "true")
    expect(page.locator(".q:not([hidden])").first).to_be_visible()


def answer_questions(page, visit):
    """Every question that matters is answered; those that are not named with no."""
    # the questions that matter change as areas are ticked; whatever is shown and not asked is answered
    worked_out(page)
    for _ in range(200):
        open_questions = page.locator('.q:not([hidden])').filter(has=page.locator('input[value="not-asked"]:checked'))
        if open_questions.count() == 0:
            break
        question = open_questions.first
        text = question.locator("legend").inner_text()
        said = next((said for part, said in visit["said"] if part in text), visit["no"])
        named(question, "radio", said, exact=True).check()
    else:
        raise AssertionError("the questions do not end")


def save(page, visit):
    named(page, "button", visit["save"]).click()
    expect(page.locator(".saved")).to_be_visible()


def by_mouse(page, visit):
    def pick(page, area):
        # the drawing is clicked where its zone is; the box follows
        zone = page.locator(f'.zone[data-area="{area["id"]}"]').last
        zone.locator(".hit").click(position=area.get("at"), force=True)
        box = page.locator(f'.pick input[value="{area["id"]}"]')
        expect(box).to_be_checked()

    fill_in(page, visit, pick)
    answer_questions(page, visit)
    page.wait_for_timeout(400)
    worked_out(page)
    save(page, visit)
    return {"state": page.locator("#state").inner_text()}


def by_boxes(page, visit):
    """The same where the browser runs no script: boxes, and a button that works it out."""

    def pick(page, area):
        page.locator(".pick").get_by_label(area["name"], exact=True).check()
        named(page, "button", visit["work-out"]).click()

    fill_in(page, visit, pick)
    answer_questions(page, visit)
    save(page, visit)
    return {"state": page.locator("#state").inner_text()}


def by_keyboard(page, visit):
    """The same with the keyboard alone: every step is reached by the tabulator or an arrow, and pressed."""

    def focused():
        return page.evaluate(
            """() => { const one = document.activeElement; const label = one.labels?.[0]?.innerText ?? one.innerText ?? "";
               return { name: one.name ?? "", value: one.value ?? "", type: one.type ?? one.tagName, text: label.trim(), id: one.id }; }"""
        )

    def go(matches, key="Tab", most=600):
        for _ in range(most):
            page.keyboard.press(key)
            here = focused()
            if matches(here):
                return here
        raise AssertionError(f"not reached by {key}")

    go(lambda f: f["text"] == visit["place"])
    with page.expect_navigation():
        page.keyboard.press("Enter")
    go(lambda f: f["text"] == visit["new"])
    with page.expect_navigation():
        page.keyboard.press("Enter")
    for name, text in visit["keyed"]:
        if text is None:
            continue
        here = go(lambda f, name=name: f["name"] == name)
        if here["type"] == "select-one":
            page.keyboard.type(text)
        else:
            page.keyboard.press("Control+A")
            page.keyboard.type(text)
    for area in visit["areas"]:
        page.evaluate("scrollTo(0, 0)")
        page.locator("#main").focus()
        go(lambda f, area=area: f["name"] == "area" and f["value"] == area["id"])
        page.keyboard.press("Space")
        for name, text in area["keyed"]:
            here = go(lambda f, name=name: f["name"] == name)
            if here["type"] == "radio":
                for _ in range(4):
                    if focused()["value"] == text:
                        page.keyboard.press("Space")
                        break
                    page.keyboard.press("ArrowRight")
            else:
                if here["type"] != "select-one":
                    page.keyboard.press("Control+A")
                page.keyboard.type(text)
    worked_out(page)
    answered = set()
    page.locator("#main").focus()
    for _ in range(2000):
        page.keyboard.press("Tab")
        here = focused()
        if here["name"].startswith("fact.") and here["type"] == "radio" and here["name"] not in answered:
            answered.add(here["name"])
            text = page.evaluate("name => document.getElementById(name)?.querySelector('legend').innerText", here["name"])
            said = next((said for part, said in visit["said-values"] if part in text), "no")
            for _ in range(6):
                if focused()["value"] == said:
                    break
                page.keyboard.press("ArrowLeft")
            page.keyboard.press("Space")
        if here["id"] == "save":
            break
    else:
        raise AssertionError("the button to save is not reached")
    page.wait_for_timeout(400)
    worked_out(page)
    page.keyboard.press("Enter")
    expect(page.locator(".saved")).to_be_visible()
    return {"state": page.locator("#state").inner_text(), "answered": len(answered)}


def answer_a_question(page, visit):
    """The practitioner opens what waits, answers it with a reason, and it is answered."""
    named(page, "link", visit["place"]).first.click()
    named(page, "link", visit["who"]).first.click()
    ask = page.locator("article[data-ask]").first
    expect(ask).to_be_visible()
    named(ask, "radio", visit["decision"]).check()
    ask.get_by_label(visit["reason-label"]).fill(visit["reason"])
    named(ask, "button", visit["record"]).click()
    expect(page.locator("article.answered").first).to_contain_text(visit["reason"])
    return {"state": page.locator("#state").inner_text()}


# a point of the drawing where this zone lies on top, as somebody would aim at it
INSIDE = """zone => { const steps = 24;
   zone.scrollIntoView({block: 'center'}); const now = zone.querySelector('.hit').getBoundingClientRect();
   const found = []; for (let i = 1; i < steps; i++) for (let j = 1; j < steps; j++) {
     const x = now.left + now.width * i / steps, y = now.top + now.height * j / steps;
     if (document.elementFromPoint(x, y)?.closest('.zone') === zone) found.push([x, y, Math.hypot(i - steps / 2, j - steps / 2)]);
   } return found.sort((a, b) => a[2] - b[2])[0] ?? null; }"""


def the_face(page, visit):
    """Every zone of the drawing ticks its box and side; to who hears the page there are named boxes and no drawing."""
    named(page, "link", visit["place"]).first.click()
    named(page, "link", visit["new"]).click()
    group = named(page, "group", visit["legend"], exact=True)
    group.wait_for()
    boxes = group.get_by_role("checkbox")
    told = [box.evaluate("box => box.labels[0].innerText.trim()") for box in boxes.all()]
    wanted = [area["name"] for area in visit["areas"]]
    assert told == wanted, f"boxes: {told}, not {wanted}"
    # the names as the browser tells them to who cannot see the page
    tree = group.aria_snapshot()
    for name in wanted:
        assert f'checkbox "{name}"' in tree, f"{name} is no box in {tree}"
    drawing = page.locator("svg.face")
    assert drawing.get_attribute("aria-hidden") == "true"
    assert page.locator("svg.face [tabindex], svg.face a, svg.face title").count() == 0
    assert not any(word in tree for word in ("img", "graphics", "text: 1")), tree
    # the keyboard goes from box to box
    boxes.first.focus()
    for name in wanted[1:]:
        page.keyboard.press("Tab")
        here = page.evaluate("document.activeElement.labels?.[0]?.innerText.trim()")
        assert here == name, f"after the box before, the keyboard is at {here!r}, not {name!r}"
    # every group of the form says what it is about
    for part in page.locator("form.visit fieldset:visible").all():
        legend = part.locator("legend").first.inner_text().strip()
        assert legend, part.evaluate("part => part.outerHTML.slice(0, 120)")
    seen = 0
    for area in visit["areas"]:
        box = page.locator(f'.pick input[value="{area["id"]}"]')
        side = page.locator(f'[name="area.{area["id"]}.side"]:checked')
        zones = page.locator(f'.zone[data-area="{area["id"]}"]')
        sides = {zone.get_attribute("data-side") for zone in zones.all()}
        assert sides == set(area["zones"]), f"{area['id']} is drawn on {sides}"

        def press(zone):
            x, y, _ = zone.evaluate(INSIDE)
            form = page.locator("form.visit")
            before = form.get_attribute("data-worked-out") or ""
            page.mouse.click(x, y)
            # what follows from a click may move the drawing a line further down, so it is waited for
            expect(form).not_to_have_attribute("data-worked-out", before)
            expect(form).to_have_attribute("data-worked-out", re.compile("."))

        for zone in zones.all():
            own = zone.get_attribute("data-side")
            press(zone)
            ticked = [one.get_attribute("value") for one in page.locator(".pick input:checked").all()]
            assert ticked == [area["id"]], f"a click on {area['id']}, {own}, ticks {ticked}"
            if area["choice"]:
                assert side.get_attribute("value") == own, f"{area['id']}: {side.get_attribute('value')}, not {own}"
            drawn = {one.get_attribute("data-area") for one in page.locator(".zone.on").all()}
            assert drawn == {area["id"]}, drawn
            press(zone)
            expect(box).not_to_be_checked()
            seen += 1
        if area["choice"]:
            left, right = (page.locator(f'.zone[data-area="{area["id"]}"][data-side="{name}"]').first for name in ("left", "right"))
            press(left)
            press(right)
            assert side.get_attribute("value") == "both", f"{area['id']}: left and right are {side.get_attribute('value')}"
            press(left)
            assert side.get_attribute("value") == "right", f"{area['id']}: both without left are {side.get_attribute('value')}"
            press(right)
            expect(box).not_to_be_checked()
    # what is ticked by its box is drawn
    for area in visit["areas"]:
        page.locator(f'.pick input[value="{area["id"]}"]').check()
        expect(page.locator(f'.zone.on[data-area="{area["id"]}"]').first).to_be_attached()
    return {"zones": seen, "areas": len(visit["areas"])}


JOURNEYS = {
    "the-face": the_face,
    "print-the-day": print_the_day,
    "by-mouse": by_mouse,
    "by-keyboard": by_keyboard,
    "by-boxes": by_boxes,
    "answer": answer_a_question,
}


def main():
    given = json.load(sys.stdin)
    told = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=given["browser"], args=["--no-sandbox"])
        for case in given["journeys"]:
            context = browser.new_context(
                viewport={"width": case.get("width", 1280), "height": 900},
                java_script_enabled=case.get("script", True),
                locale=case.get("locale", "en-GB"),
            )
            page = context.new_page()
            page.set_default_timeout(PATIENCE)
            wrong = []
            page.on("console", lambda message: wrong.append(f"{message.text} {message.location['url']}") if message.type == "error" else None)
            page.on("pageerror", lambda error: wrong.append(str(error)))
            own = given["address"].rsplit("/", 2)[0]
            page.on("request", lambda request: None if request.url.startswith(own) else wrong.append(request.url))
            page.goto(given["address"])
            page.wait_for_url("**/day*")
            try:
                said = JOURNEYS[case["journey"]](page, case["words"])
            except Exception as error:  # noqa: BLE001  the journey ends here, whatever ended it
                page.screenshot(path=given.get("picture", "/dev/null"), full_page=True)
                print(f"{case['name']}: {error}")
                sys.exit(1)
            if wrong:
                print(f"{case['name']}: {wrong}")
                sys.exit(1)
            told.append({"name": case["name"], **said})
            context.close()
        browser.close()
    json.dump(told, sys.stdout)


if __name__ == "__main__":
    main()
