"""Reading a cover file: what is said is what is read, and every slip is told with its line and column."""

from importlib.resources import files

import pytest
from calgen.knowledge.read import read_cover_file, read_knowledge
from calgen.problems import InputError

KNOWN = read_knowledge().sources
OATS = (files("calgen.knowledge") / "data" / "covers" / "oats.yaml").read_text("utf-8")


def read(text: str):
    """A cover from a grower's text."""
    return read_cover_file(text.encode(), "my-oats.yaml", KNOWN)


def problems(text: str) -> list[str]:
    """The problems of a grower's text, one line each."""
    with pytest.raises(InputError) as error:
        read(text)
    return str(error.value).splitlines()


def line_of(text: str, start: str) -> int:
    """The number of the first line that begins so."""
    return next(number for number, line in enumerate(text.splitlines(), 1) if line.startswith(start))


def test_a_file_is_read_as_it_stands() -> None:
    oats = read(OATS)
    assert oats.id == "oats"
    assert (oats.seed_broadcast_g_m2.low, oats.seed_broadcast_g_m2.high) == (12, 16)
    assert oats.seed_broadcast_g_m2.quoted == "110-140 lb/acre"
    assert oats.base_c.low == oats.base_c.high == 0
    assert oats.ratings["nitrogen"].mid == 0
    assert "own" in oats.ratings["weeds"].sources
    assert oats.ratings["weeds"].mark == "judgement"
    assert oats.life == "annual"
    assert oats.place.line == 1


def test_a_growers_cover_may_rest_on_their_own_judgement() -> None:
    mine = OATS.replace("id: oats", "id: my-oats").replace(
        "survive-dd:", "survive-dd: {value: 300, unit: C days, source: own, why: seen in my garden}\nformer:", 1)
    mine = mine[: mine.index("former:")] + mine[mine.index("establish-dd:"):]
    oats = read(mine)
    assert oats.survive_dd.mid == 300
    assert oats.survive_dd.mark == "judgement"
    assert oats.survive_dd.why == "seen in my garden"


@pytest.mark.parametrize(("before", "after", "told"), [
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "base-c: {value: 0, unit: C}",
     'base-c: has no source; add "source"'),
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "base-c: {value: 0, unit: C, source: rutger-gdd}",
     'base-c: source: "rutger-gdd" is no known source'),
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "base-c: {value: 0, unit: C, source: own}",
     'base-c: is our own; add "why"'),
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "base-c: {value: 0, unit: F, source: rutgers-gdd}",
     'base-c: unit: "F" is no unit for this; known: C'),
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "base-c: {value: 32, unit: C, source: rutgers-gdd}",
     "base-c: value: is out of bounds (-2 to 15 C)"),
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "base-c: {value: [4, 0], unit: C, source: rutgers-gdd}",
     "base-c: value: the range runs backwards"),
    ("base-c: {value: 0, unit: C, source: rutgers-gdd}", "bass-c: {value: 0, unit: C, source: rutgers-gdd}",
     'unknown key "bass-c"; did you mean "base-c"?'),
    ("kind: grass", "kind: gras", 'kind: "gras" is no kind; known: grass, legume, brassica, other'),
    ("fixes-nitrogen: no", "fixes-nitrogen: perhaps", 'fixes-nitrogen: "perhaps" is no yes or no; known: yes, no'),
    ("id: oats", "id: My Oats", 'id: "My Oats" is no plant id; write small letters and hyphens'),
    ("short: Oats", "short: Common oats", 'short: "Common oats" is longer than 8 letters'),
    ("code: OAT", "code: OATS", 'code: "OATS" is no code of 2 or 3 letters'),
    ("factor: 1.14", "factor: 0.8", "seed-steps: 1: is out of bounds (0 to 90 days, factor 1 to 4)"),
])
def test_a_slip_is_told_with_its_place(before: str, after: str, told: str) -> None:
    assert before in OATS
    text = OATS.replace(before, after, 1)
    found = problems(text)
    assert len(found) == 1, found
    assert found[0].endswith(told)
    changed = line_of(text, "- {days-late" if after.startswith("factor") else after.partition(":")[0])
    assert found[0].startswith(f"my-oats.yaml:{changed}:")


def test_every_slip_is_told_in_one_run() -> None:
    text = OATS.replace("kind: grass", "kind: gras").replace("code: OAT", "code: OATS").replace("id: oats", "id: O")
    assert len(problems(text)) == 3


def test_values_that_contradict_each_other_are_refused() -> None:
    text = OATS.replace("establish-dd:", "establish-dd: {value: 80, unit: C days, source: own, why: x}\nformer:", 1)
    text = text[: text.index("former:")] + text[text.index("full-cover-dd:"):]
    assert problems(text)[0].endswith('establish-dd: lies below "survive-dd"')


def test_a_missing_rating_is_told() -> None:
    assert problems(OATS.replace("    pollinators: 1\n", ""))[0].endswith('ratings: "pollinators" is missing; add it')


def test_what_is_no_yaml_is_told() -> None:
    assert problems("id: [oats")[0].startswith("my-oats.yaml:")
    assert problems("- oats")[0].startswith("my-oats.yaml:")
