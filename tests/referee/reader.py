"""Turns finished papers into verdicts of readers that share no code with the program. Run by tests/oracles/papers.rs.

    reader.py plans  ROOT FOLDER            writes a plan for each area alone and each odd name, prints their paths
    reader.py risks  ROOT PDFS PLAN...      every required risk stands in the information paper and is named on the consent form,
                                            on the pages `check` names
    reader.py pages  ROOT PDFS PLAN...      structure, identity and geometry of every page of every paper
    reader.py second PDF...                 verdicts of a second validator, PDF/UA-1 and PDF/A-2a
    reader.py damage ROOT PDFS PLAN FOLDER  plants faults in copies, holds our own rules against them,
                                            prints the copies the validators must refuse

One invariant: exit 0 only when at least one thing was looked at and no fault was found.
Must not: take an expectation from a paper it judges.
"""

import argparse
import json
import re
import sys
from pathlib import Path

import pdfplumber

import damage
import geometry
import measures
import page as second_judge
import sources
import structure
import text

KINDS = ("information", "consent", "aftercare", "clinician", "evidence")
# what the practice reads; a stop leaves the check sheet alone
PRACTICE = ("clinician", "evidence")


def papers(plan, pdfs):
    """The papers of a plan that were written; a stopped plan has the clinician's sheet only, `check` says so."""
    stopped = checked(plan, pdfs)["stopped"]
    return [(kind, plan.paper(pdfs, kind)) for kind in KINDS if kind == "clinician" or not stopped]


def checked(plan, pdfs):
    """What `check --format json` said of the plan; the test writes it beside the papers."""
    return json.loads((plan.folder(pdfs) / "check.json").read_text("utf-8"))["plans"][0]


def risks(root, pdfs, paths):
    counts = dict.fromkeys(("plans", "sentences", "fragments", "pages agreed"), 0)
    faults = []
    for plan in (sources.read_plan(root, path) for path in paths):
        check = checked(plan, pdfs)
        if check["stopped"]:
            continue
        counts["plans"] += 1
        wanted = sources.demands(root, plan)
        claimed = {risk["statement"]: risk["page"] for risk in check["required_risks"]}
        named_on = {risk["statement"]: risk["named_on_page"] for risk in check["required_risks"]}
        practice = plan.words(root, "evidence")
        for name in sorted({demand.id for demand in wanted} ^ set(claimed)):
            faults.append(f"{plan.path.name}: {name} is required by only one of the catalogue and `check`")
        sheet = "".join(text.bodies(text.poppler(plan.paper(pdfs, "evidence"))))
        for reader, read in text.READERS.items():
            pages = text.bodies(read(plan.paper(pdfs, "information")))
            form = [page.lower() for page in text.bodies(read(plan.paper(pdfs, "consent")))]
            free = {}  # two areas may use the same sentence: each saying of it counts once
            for demand in wanted:
                counts["sentences"] += 1
                counts["fragments"] += len(demand.pieces)
                words = tuple(demand.pieces)
                found = free.setdefault(words, text.pages_of(demand.pattern(), pages))
                page = claimed.get(demand.id)
                if page in found:
                    found.remove(page)
                    counts["pages agreed"] += 1
                else:
                    where = f"on pages {found}" if found else "nowhere"
                    faults.append(f"{plan.path.name}: {demand.id} should be on page {page}; {reader} finds it {where}")
                # a name with a value in it is found by the words around the value
                name = demand.name_pattern()
                if named_on[demand.id] not in text.pages_of(name, form):
                    faults.append(f"{plan.path.name}: {reader} does not find {demand.id} named on page {named_on[demand.id]} of the form")
                place = practice["clinician.coverage.place"].replace("{{ paper }}", practice["information.short-title"])
                place = sources.squeeze(place.replace("{{ page }}", str(page)))
                if not re.search(demand.sheet_pattern() + r".{0,120}?" + re.escape(place) + r"(?!\d)", sheet, re.S):
                    faults.append(f"{plan.path.name}: the evidence annex does not give page {page} for {demand.id}")
    return report(counts, faults)


def statements(root, pdfs, paths):
    """Every required statement of both papers for the patient, found by both readers on the page that `check` gives."""
    counts = dict.fromkeys(("plans", "statements", "fragments"), 0)
    faults = []
    for plan in (sources.read_plan(root, path) for path in paths):
        check = checked(plan, pdfs)
        if check["stopped"]:
            continue
        counts["plans"] += 1
        words = plan.words(root, "information")
        claimed = [entry for entry in check["required_statements"] if entry["paper"] not in PRACTICE]
        listed = {(entry["paper"], entry["statement"]) for entry in claimed}
        for missing in sorted(sources.expected(root, plan) - listed):
            faults.append(f"{plan.path.name}: {missing} is required by the catalogue and not listed by `check`")
        for reader, read in text.READERS.items():
            bodies = {kind: text.bodies(read(plan.paper(pdfs, kind))) for kind in ("information", "consent", "aftercare")}
            for entry in claimed:
                said = words[entry["wording"]]
                # what is signed names a risk by the bold beginning of its sentence, in small letters
                named = entry["paper"] == "consent" and (".risk." in entry["statement"] or ".serious." in entry["statement"])
                pieces = sources.fragments(re.match(r"\*\*(.+?)\.?\*\*", said, re.S)[1] if named else said)
                if named:
                    pieces = [piece.lower() for piece in pieces]
                counts["statements"] += 1
                counts["fragments"] += len(pieces)
                # a list of areas may be long; any other value is a number, a name or a place
                room = 600 if entry["wording"].startswith("because.") else 90
                pattern = re.compile(f".{{0,{room}}}?".join(map(re.escape, pieces)), re.S)
                pages = bodies[entry["paper"]]
                pages = [page.lower() for page in pages] if named else pages
                here, after = pages[entry["page"] - 1], "".join(pages[entry["page"] : entry["page"] + 1])
                if entry["page"] not in text.pages_of(pattern, pages) and not goes_over(pieces, here, after):
                    faults.append(f"{plan.path.name}: {reader} does not find {entry['statement']} on page {entry['page']}")
    return report(counts, faults)


def goes_over(pieces, here, after):
    """Whether a paragraph begins on one page and goes on on the next, with all of its words in order of pages."""
    turned = False
    for at, piece in enumerate(pieces):
        if turned:
            if piece not in after:
                return False
        elif piece not in here:
            turned = True
            # it begins here: of its first words at least some letters stand on this page
            cuts = range(len(piece) - 1, 7 if at == 0 else -1, -1)
            if not any(piece[:cut] in here and piece[cut:] in after for cut in cuts):
                return False
    return turned


def pages(root, pdfs, paths):
    counts, faults = {"papers": 0, "pages": 0}, []
    for plan in (sources.read_plan(root, path) for path in paths):
        for kind, paper in papers(plan, pdfs):
            # reading the glyphs of the annexes would take as long as all the other papers
            if kind == "evidence" and not plan.has_an_annex_of_its_own_kind:
                continue
            counts["papers"] += 1
            counts["pages"] += len(text.pdfium(paper))
            words = plan.words(root, kind)
            with pdfplumber.open(paper) as pdf:
                frames = text.furniture(paper)
                found = [
                    *structure.faults(paper, plan.language(kind)),
                    *geometry.faults(pdf, frames, plan, kind, words),
                    *measures.faults(pdf, frames, kind, len(plan.data["area"])),
                ]  # fmt: skip
            faults += [f"{plan.path.name}, {kind}: {fault}" for fault in gathered(found)]
    return report(counts, faults)


def gathered(faults):
    """The same fault on many pages as one line."""
    where = {}
    for fault in faults:
        page = re.match(r"page (\d+):? (.*)", fault, re.S)
        where.setdefault(page[2] if page else fault, []).append(page[1] if page else None)
    for fault, places in where.items():
        yield f"page {', '.join(places)}: {fault}" if all(places) else fault


def lengths_are_right(file, number):
    """Whether a stream ends where its /Length says, or every stream does where the second judge names none; it is misled when a
    stream's last byte is a carriage return."""
    data = Path(file).read_bytes()
    which = b"%d" % number if number else rb"\d+"
    heads = re.finditer(rb"(?:^|\n)" + which + rb" 0 obj\s*<<(?:(?!stream).)*?/Length (\d+)[^R]*?stream\r?\n", data, re.S)
    ends = [data[head.end() + int(head[1]) - 1 :][:12] for head in heads]
    whole = all(end[1:].startswith((b"\nendstream", b"\r\nendstre", b"endstream")) for end in ends)
    return whole and any(end[:1] == b"\r" for end in ends)


def second(files):
    counts, faults = {"verdicts": 0}, []
    for file in files:
        for profile in ("ua1", "2a"):
            counts["verdicts"] += 1
            for failure in second_judge.validate_pdf(str(file), profile=profile).failures:
                number = int(re.search(r"\d+", str(failure.object_id) + " 0")[0])
                if "STREAM-LENGTH" not in failure.rule_id or not lengths_are_right(file, number):
                    faults.append(f"FAIL {profile} {file} {failure.rule_id}: {failure.message}")
    return report(counts, faults)


def plant(root, pdfs, path, folder):
    plan = sources.read_plan(root, path)
    consent = plan.paper(pdfs, "consent")
    language, words = plan.language("consent"), plan.words(root, "consent")

    def judged(path):
        with pdfplumber.open(path) as pdf:
            return {*structure.faults(path, language), *geometry.faults(pdf, text.furniture(path), plan, "consent", words)}

    sound = judged(consent)
    counts, faults = {"faults planted": 0}, []
    for copy, judges in damage.plant(consent, folder):
        counts["faults planted"] += 1
        if "validator" in judges:
            print(f"validator {copy}")
            if second_judge.validate_pdf(str(copy), profile="ua1").is_compliant:
                faults.append(f"{copy.name}: the second validator noticed nothing")
        if "reader" in judges and not judged(copy) - sound:
            faults.append(f"{copy.name}: the reader noticed nothing")
    missing = sources.Demand("planted", [sources.squeeze("A sentence that stands in no paper of ours.")], "planted")
    for reader, read in text.READERS.items():
        counts["faults planted"] += 1
        if text.pages_of(missing.pattern(), text.bodies(read(consent))):
            faults.append(f"{reader} finds a sentence that is not there")
    return report(counts, faults)


def report(counts, faults):
    for fault in faults:
        print(fault)
    print(", ".join(f"{count} {what}" for what, count in counts.items()) + f", {len(faults)} faults")
    return 0 if not faults and all(counts.values()) else 1


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("command", choices=("plans", "risks", "statements", "pages", "second", "damage"))
    parser.add_argument("rest", nargs="+", type=Path)
    asked = parser.parse_args()
    match asked.command, asked.rest:
        case "plans", [root, folder]:
            print(*sources.invented_plans(root, folder), sep="\n")
            return 0
        case "risks", [root, pdfs, *plans]:
            return risks(root, pdfs, plans)
        case "statements", [root, pdfs, *plans]:
            return statements(root, pdfs, plans)
        case "pages", [root, pdfs, *plans]:
            return pages(root, pdfs, plans)
        case "second", files:
            return second(files)
        case "damage", [root, pdfs, plan, folder]:
            return plant(root, pdfs, plan, folder)
    parser.error("arguments do not fit the command")


if __name__ == "__main__":
    sys.exit(main())
