"""Jobs in pots, tubs and crates are told as they are done there. All of it is `common practice`.

A pot is loosened with a hand fork, covered with sieved compost and watered with a fine rose; nothing is hoed, raked,
trodden, drilled, scythed or tarped in it.
"""

from __future__ import annotations

import re
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of, template_bytes
from calgen.command.words import sections
from calgen.schedule.wording_file import read_wording

if TYPE_CHECKING:
    from calgen.schedule.model import Job
    from calgen.schedule.wording import Wording

SITE = """
site: Sedge End
latitude: 52.4
language: @
frost: {last: 24 April, first: 30 October}
warmest-month: 17
winter-low: -7
soil: clay
chart-starts: July 2026
beds:
  Tubs:
    pots: 6 x 40 l
    order:
"""
BED_WORDS = {
    "en": r"hoe|rake[ds]?|raking|tread|trodden|scythe|sickle|mow\w*|tarp|crimp\w*|roll\w*|drills?|rows?|tiller|spade",
    "de": r"hacke\w*|(?:ab|auf|ein|beiseite)?rechen|antreten|niedertreten|sense|sichel|mähen|plane|"
          r"walze\w*|rillen?|furche|reihen?|fräse\w*|spaten|beete?s?",
}
NOT_IN_POTS = ("drill.", "look-tarp.", "cut-down.cut-", "cut-down.tarp.", "mulch-sheet.")
"""What the planner never puts on a pot, as tests see to; a tarp as mulch is the grower's own wish."""


@cache
def wording(language: str) -> Wording:
    english = read_wording(*template_bytes("wording-en.yaml", None), fixed=sections())
    if language == "en":
        return english
    return read_wording(*template_bytes(f"wording-{language}.yaml", None), english, fixed=sections())


@cache
def jobs(*steps: str, language: str = "en") -> tuple[Job, ...]:
    """The jobs of tubs with this order."""
    text = SITE.replace("@", language) + "".join(f"      - {{{step}}}\n" for step in steps)
    return desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs


def of_kind(kind: str, *steps: str, language: str = "en") -> list[Job]:
    return [job for job in jobs(*steps, language=language) if job.kind == kind]


UNDERSOWN = ("crop: tomato, planted: 2026-05-30", "cover: crimson clover, how: undersown", "crop: pepper")
SOWN = ("crop: basil, planted: 2026-05-30, cleared: 2026-08-20", "cover: @", "crop: tomato")


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_text_for_pots_speaks_of_bed_work(language: str) -> None:
    texts = wording(language).jobs
    for key, found in texts.items():
        if key.endswith("-in-pots") or f"{key}-in-pots" in texts or key.startswith(NOT_IN_POTS):
            continue
        assert not re.findall(rf"\b({BED_WORDS[language]})\b", found.text, re.IGNORECASE), key
    for key, found in texts.items():
        if key.endswith("-in-pots") and not key.startswith(NOT_IN_POTS):
            assert key.removesuffix("-in-pots") in texts
            words = found.text.replace("als Beete", "")  # how pots differ from beds may be said
            assert not re.findall(rf"\b({BED_WORDS[language]})\b", words, re.IGNORECASE), key


@pytest.mark.parametrize(("kind", "steps"), [
    ("sow", tuple(step.replace("@", "phacelia") for step in SOWN)), ("undersow", UNDERSOWN)])
@pytest.mark.parametrize(("language", "words"), [
    ("en", ("hand fork", "sieved compost", "fine rose", "moist")),
    ("de", ("Handgabel", "gesiebtem Kompost", "feiner Brause", "feucht halten")),
])
def test_a_cover_is_sown_in_pots_by_hand(kind: str, steps: tuple[str, ...], language: str,
                                         words: tuple[str, ...]) -> None:
    (sown,) = of_kind(kind, *steps, language=language)
    assert all(word in sown.how for word in words)


def test_beds_keep_their_own_words() -> None:
    text = SITE.replace("@", "en").replace("pots: 6 x 40 l", "size: 1.2 x 5 m")
    text += "".join(f"      - {{{step.replace('@', 'phacelia')}}}\n" for step in SOWN)
    found = desk_of(text.encode(), Path("sedge.yaml")).schedule(date(2026, 7, 1)).jobs
    (sown,) = [job for job in found if job.kind == "sow"]
    assert sown.how.startswith("Rake")


@pytest.mark.parametrize(("cover", "english", "german", "stays"), [
    # What does not grow again from the stump is cut, and its roots rot where they are; what does comes out.
    ("crimson clover", "Cut crimson clover", "Inkarnatklee abschneiden", "roots in"),
    ("cereal rye", "Pull cereal rye", "Winterroggen herausziehen", "hand fork"),
])
def test_a_cover_in_pots_is_cut_with_shears_or_pulled(cover: str, english: str, german: str, stays: str) -> None:
    steps = ("crop: basil, planted: 2026-05-30, cleared: 2026-08-20", f"cover: {cover}, sown: 2026-08-22, "
             "cut: 2027-04-20", "crop: tomato")
    (cut,) = of_kind("cut-down", *steps)
    assert cut.title.startswith(english)
    assert stays in cut.text + cut.how
    (geschnitten,) = of_kind("cut-down", *steps, language="de")
    assert geschnitten.title.startswith(german)


def test_a_companion_in_pots_is_ended_by_hand() -> None:
    steps = ("crop: tomato, planted: 2026-06-05, with: white clover", "crop: pepper")
    (cut,) = of_kind("cut-down", *steps)
    assert cut.title.startswith("Pull white clover")
    assert "knife" in cut.how


@pytest.mark.parametrize("crop", ["garlic", "early potato", "spring onion", "beetroot", "strawberry", "leek", "pea"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_no_crop_in_pots_is_told_as_in_a_bed(crop: str, language: str) -> None:
    said = [text for job in jobs("crop: basil, planted: 2026-05-30, cleared: 2026-08-20", f"crop: {crop}",
                                 language=language)
            for text in (job.title, job.text, job.how, job.next_step)]
    assert len(said) > 4
    assert not re.findall(rf"\b({BED_WORDS[language]})\b", "\n".join(said), re.IGNORECASE)


def test_mulch_stays_below_the_rim() -> None:
    """A pot is filled to about 5 cm below its rim; a bed takes 15 to 20 cm of straw (University of Maine)."""
    (mulch,) = of_kind("mulch", "crop: basil, planted: 2026-05-30, cleared: 2026-09-20", "mulch: straw")
    assert "3–5 cm" in mulch.text
    assert "below the rim" in mulch.how
