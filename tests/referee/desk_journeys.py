"""Turns an opened desk into what a person at it comes to: each journey is walked in a real browser, by mouse, by keyboard, or
without script.

One invariant: a journey touches only what a person sees or hears: labels, buttons, links; never the server's paths.
Must not: look into the program's files, or repair a step that fails.
"""

import json
import sys

from playwright.sync_api import expect, sync_playwright

SHORT = 8000


def named(page, role, name, **more):
    return page.get_by_role(role, name=name, **more)


def print_the_day(page, words):
    """The front desk's minute: tomorrow is chosen, one press puts questions on lists, one makes the pile, one opens it."""
    expect(page.get_by_role("heading", level=1)).to_contain_text(words["day"])
    rows = page.locator("table.day tbody tr")
    assert rows.count() == words["visits"], rows.count()
    # nothing of the front desk's page leads to a patient's answers
    assert page.locator("table.day th a").count() == 0
    named(page, "button", words["lists"]).click()
    expect(page.get_by_text(words["listed"])).to_be_visible(timeout=SHORT)
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
    for label, text in visit["texts"]:
        page.get_by_label(label, exact=True).first.fill(text)
    for label, choice in visit["choices"]:
        page.get_by_label(label, exact=True).first.select_option(label=choice)
    for area in visit["areas"]:
        pick(page, area)
        part = page.locator("fieldset.area").filter(has=page.locator("legend", has_text=area["name"])).last
        expect(part).to_be_visible(timeout=SHORT)
        if area.get("side"):
            named(part, "radio", area["side"]).check()
        for label, text in area["texts"]:
            part.get_by_label(label, exact=True).fill(text)
        for label, choice in area.get("choices", []):
            part.get_by_label(label, exact=True).select_option(label=choice)


def answer_questions(page, visit):
    """Every question that matters is answered; those that are not named with no."""
    # the questions that matter change as areas are ticked; whatever is shown and not asked is answered
    expect(page.locator(".q:not([hidden])").first).to_be_visible(timeout=SHORT)
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
    expect(page.locator(".saved")).to_be_visible(timeout=SHORT)


def by_mouse(page, visit):
    def pick(page, area):
        # the drawing is clicked where its zone is; the box follows
        zone = page.locator(f'.zone[data-area="{area["id"]}"]').last
        zone.locator(".hit").click(position=area.get("at"), force=True)
        box = page.locator(f'.pick input[value="{area["id"]}"]')
        expect(box).to_be_checked(timeout=SHORT)

    fill_in(page, visit, pick)
    answer_questions(page, visit)
    page.wait_for_timeout(400)
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
    expect(page.locator(".q:not([hidden])").first).to_be_visible(timeout=SHORT)
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
    page.keyboard.press("Enter")
    expect(page.locator(".saved")).to_be_visible(timeout=SHORT)
    return {"state": page.locator("#state").inner_text(), "answered": len(answered)}


def answer_a_question(page, visit):
    """The practitioner opens what waits, answers it with a reason, and it is answered."""
    named(page, "link", visit["place"]).first.click()
    named(page, "link", visit["who"]).first.click()
    ask = page.locator("article[data-ask]").first
    expect(ask).to_be_visible(timeout=SHORT)
    named(ask, "radio", visit["decision"]).check()
    ask.get_by_label(visit["reason-label"]).fill(visit["reason"])
    named(ask, "button", visit["record"]).click()
    expect(page.locator("article.answered").first).to_contain_text(visit["reason"], timeout=SHORT)
    return {"state": page.locator("#state").inner_text()}


JOURNEYS = {
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
            page.set_default_timeout(SHORT)
            wrong = []
            page.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
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
