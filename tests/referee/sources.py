"""Turns the repository's own sources (plans, clinics, catalogue, wording) into what a finished paper must hold.

One invariant: read with Python's own parsers only; nothing here comes from the program or its output.
Must not: soften a demand because a paper does not meet it.
"""

import json
import re
import tomllib
import unicodedata
from dataclasses import dataclass
from pathlib import Path

# Written, not worked out: an area that vanishes from the catalogue must fail (issue 2, scope 3).
TREATABLE = {
    "glabella", "forehead", "lateral-canthus", "nasalis", "levator-labii-superioris-alaeque-nasi",
    "depressor-septi-nasi", "orbicularis-oris", "depressor-anguli-oris", "depressor-labii-inferioris",
    "mentalis", "masseter", "platysma",
}  # fmt: skip

BIDI_CONTROLS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def squeeze(text):
    """Letters without white space and bidi controls: lines and runs break anywhere."""
    text = unicodedata.normalize("NFKC", text)
    return re.sub(r"\s+", "", BIDI_CONTROLS.sub("", text)).replace("\u00ad", "")


def toml(path):
    # plans may write a time without seconds (TOML 1.1); Python's parser knows TOML 1.0 only
    text = Path(path).read_text("utf-8")
    return tomllib.loads(re.sub(r"^(\w+ *= *\d\d:\d\d)(?= *(#.*)?$)", r"\1:00", text, flags=re.M))


@dataclass
class Plan:
    """One plan and where its papers are."""

    path: Path
    data: dict
    clinic: dict
    region: dict

    @property
    def areas(self):
        return [area["id"] for area in self.data["area"]]

    @property
    def has_an_annex_of_its_own_kind(self):
        """Three areas or more, or an odd name. The annex of any other plan has the same tables with fewer rows."""
        return len(self.data["area"]) >= 3 or self.path.stem.startswith("odd-")

    def language(self, kind):
        """Language of a paper: the patient's, but the practice's for its own check sheet."""
        practice = self.clinic["clinic"]["language"]
        return (practice if kind in ("clinician", "evidence") else self.data["patient"].get("language", practice)).split("-")[0]

    def words(self, root, kind):
        """The wording sections of a paper, by id."""
        return sections(root, self.language(kind), self.region["id"].split("-")[0], self.overlay)

    def folder(self, pdfs):
        """Where the test puts the papers of this plan, and what `check` says of it."""
        return Path(pdfs) / f"{self.path.parent.name}-{self.path.stem}"

    def paper(self, pdfs, kind):
        """The file the program promises: record and visit date, never the name."""
        record = re.sub(r"[^A-Za-z0-9]", "-", self.data["patient"]["record"])
        return self.folder(pdfs) / f"{record}-{self.data['visit']['date']}-{kind}.pdf"

    @property
    def overlay(self):
        """The clinic's own folder, where it names one."""
        name = self.clinic["clinic"].get("overlay")
        return self.path.parent / name if name else None

    def area_file(self, catalogue, area):
        """The release's area, or the clinic's own."""
        built_in = catalogue / "areas" / f"{area}.toml"
        return built_in if built_in.is_file() else self.overlay / "areas" / f"{area}.toml"

    @property
    def page_size(self):
        """Width and height in points; ISO 216 A4, or US letter (8.5 by 11 in)."""
        paper = self.clinic["clinic"].get("paper", self.region["paper"]["value"])
        return {"a4": (595.28, 841.89), "us-letter": (612.0, 792.0)}[paper]


def read_plan(root, path):
    path = Path(path)
    data = json.loads(path.read_text("utf-8")) if path.suffix == ".json" else toml(path)
    clinic = toml(path.parent / "clinic.toml")
    regions = toml(Path(root) / "src/catalogue/regions.toml")["region"]
    region = next(region for region in regions if region["id"] == clinic["clinic"]["region"])
    return Plan(path, data, clinic, region)


def sections(root, language, country, overlay=None):
    """Every wording section, `id -> Markdown`; the country's own sentences over the general ones, a clinic's over all."""
    found = {}
    folders = [Path(root) / "locales" / folder for folder in (language, f"{language}-{country}")]
    if overlay is not None:
        folders += [overlay / "wording" / folder for folder in (language, f"{language}-{country}")]
    for folder in folders:
        for path in sorted(folder.rglob("*.md")):
            for part in re.split(r"^## ", path.read_text("utf-8"), flags=re.M)[1:]:
                name, _, body = part.partition("\n")
                found[name.strip()] = re.sub(r"<!--.*?-->", "", body, flags=re.S).strip()
    return found


def fragments(markdown):
    """The literal words of a sentence, cut at every value the program fills in.

    Words inside a condition may rightly be absent, so they are not demanded; none of today's risks has one.
    """
    markdown = re.sub(r"\{#.*?#\}", "", markdown, flags=re.S)
    markdown = re.sub(r"\{%-?\s*if\b.*?\{%-?\s*endif\s*-?%\}", "{{}}", markdown, flags=re.S)
    parts = re.split(r"\{\{.*?\}\}|\{%.*?%\}", markdown, flags=re.S)
    plain = (re.sub(r"\*\*|^\s*[-*] ", "", part, flags=re.M) for part in parts)
    plain = (re.sub(r"\\(\W)", r"\1", part) for part in plain)
    return [piece for piece in map(squeeze, plain) if piece]


@dataclass
class Demand:
    """One required statement: its literal words, in order, and its bold lead in the practice's language."""

    id: str
    pieces: list
    lead: str
    # the same in the patient's language
    name: str = ""

    def name_pattern(self):
        return re.compile(".{0,40}?".join(re.escape(piece.lower()) for piece in fragments(self.name)), re.S)

    def sheet_pattern(self):
        return ".{0,40}?".join(map(re.escape, fragments(self.lead)))

    def pattern(self):
        # a value is a number, a time, a list of sounds: never longer than this
        return re.compile(".{0,90}?".join(map(re.escape, self.pieces)), re.S)


def told_with(plan, entry):
    """Whether it concerns one of the planned areas; what names none concerns all."""
    return not entry.get("only-with") or bool(set(plan.areas) & set(entry["only-with"]))


def demands(root, plan):
    """Every required risk of a plan: of everybody, serious ones, and of each of its areas."""
    catalogue = Path(root) / "src/catalogue"
    words, sheet = plan.words(root, "information"), plan.words(root, "clinician")
    general = toml(catalogue / "general.toml")
    own = [toml(plan.area_file(catalogue, area)).get("risk", []) for area in plan.areas]
    # a general risk is left out only when each area has a risk of its own in its place
    said = [{risk.get("instead-of") for risk in risks} for risks in own]
    ids = [f"general.risk.{risk['id']}" for risk in general["risk"] if not all(risk["id"] in one for one in said)]
    ids += [f"general.serious.{risk['id']}" for risk in general["serious"]]
    for area in plan.areas:
        risks = toml(plan.area_file(catalogue, area))["risk"]
        if not risks:
            raise SystemExit(f"{area}: no required risk in the catalogue")
        ids += [f"{area}.risk.{risk['id']}" for risk in risks]
    found = []
    for name in ids:
        text = words.get(name, "")
        lead = re.match(r"\*\*(.+?)\*\*", sheet.get(name, ""))
        pieces = fragments(text)
        if not lead or sum(map(len, pieces)) < 20:
            raise SystemExit(f"{name}: no sentence with a bold lead in the wording")
        own = re.match(r"\*\*(.+?)\*\*", text, re.S)
        found.append(Demand(name, pieces, lead[1].rstrip("."), own[1].rstrip(".")))
    return found


def expected(root, plan):
    """What the catalogue alone says must be on each paper: (paper, id); advice and what depends on rules is left to others."""
    catalogue = Path(root) / "src/catalogue"
    general = toml(catalogue / "general.toml")
    found = {("information", f"choice.{entry['id']}") for entry in general["choice"] if told_with(plan, entry)}
    weakened = {effect["kind"] for area in plan.areas for effect in toml(plan.area_file(catalogue, area)).get("effect", [])}
    flags = [entry for entry in general["red-flag"] if weakened.intersection(entry.get("functions", weakened))]
    found |= {("aftercare", f"redflag.{entry['id']}") for entry in flags}
    found |= {("aftercare", f"normal.{entry['id']}") for entry in general["normal"]}
    for area in plan.areas:
        known = toml(plan.area_file(catalogue, area))
        found |= {("information", f"{area}.{part}") for part in ("can", "cannot", "lasts", "candid", "other-choices")}
        # when to call because of an area is said where the signs named to everybody do not say it
        own = {entry["id"] for entry in known["statement"]}
        found |= {("aftercare", f"{area}.{part}") for part in {"normal", "call"} & own}
        found |= {("information", f"{area}.poor.{entry['id']}") for entry in known.get("poor-candidate", [])}
    return found


# Issue 2, "tests that must exist": printed as typed, or refused; a refusal is tested where mistakes are.
ODD_NAMES = {
    "odd-markup": '#panic("x") *bold* $x$ \\ <b> {{ name }} _a_',
    "odd-long": ("Maximiliana Theodora " * 10)[:199] + "x",
    "odd-unbroken": "Featherstonehaughoyelaran" * 8,
    "odd-arabic": "\u0644\u064a\u0644\u0649 \u0639\u0628\u062f \u0627\u0644\u0631\u062d\u0645\u0646",
    "odd-hebrew": "\u05d3\u05d5\u05d3 \u05dc\u05d5\u05d9",
    "odd-marks": "Nguy\u1ec5n Th\u1ecb Zoe\u0308 \u0130\u015f\u0131k \u0395\u03bb\u03ad\u03bd\u03b7",
}


def write_plan(folder, stem, record, name, lines):
    head = [
        "# Invented.", "[patient]", f"name = {json.dumps(name)}", "born = 1980-05-05", f'record = "{record}"',
        "[visit]", "date = 2026-12-10", "informed_on = 2026-11-10", 'practitioner = "m-varga"',
        "[product]", 'name = "onabotulinumtoxinA"', "[[area]]",
    ]  # fmt: skip
    path = Path(folder) / f"{stem}.toml"
    path.write_text("\n".join([*head, *lines]) + "\n", "utf-8")
    return path


def invented_plans(root, folder):
    """Writes a plan for each treatable area alone and for each odd name, beside the clinic of a sample; gives their paths."""
    root, folder = Path(root), Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "clinic.toml").write_text((root / "samples/linden-court/clinic.toml").read_text("utf-8"), "utf-8")
    written = {}
    for path in sorted((root / "src/catalogue/areas").glob("*.toml")):
        area = toml(path)
        if area["restriction"]["value"] == "do-not-treat":
            continue
        lines = [f'id = "{area["id"]}"', f'side = "{area["sides"][0]}"', "units = 4"]
        if area["restriction"]["value"] == "reconstructive-only":
            lines.append('reason = "asymmetry"')
        record = f"ONE-{area['order']}"
        written[area["id"]] = write_plan(folder, area["id"], record, "Solo Example (invented)", lines)
    if set(written) != TREATABLE:
        raise SystemExit(f"treatable areas in the catalogue and expected differ: {sorted(set(written) ^ TREATABLE)}")
    odd = [
        write_plan(folder, stem, stem.upper(), name, ['id = "mentalis"', "units = 4"])
        for stem, name in ODD_NAMES.items()
    ]
    return sorted(written.values()) + odd
