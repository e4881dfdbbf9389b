"""One value of a site file is replaced; every other byte stays, whatever the layout (YAML 1.1 sections 5-9)."""

import pytest
import yaml
from calgen.problems import Faults, InputError
from calgen.site.edit import with_value
from hypothesis import given
from hypothesis import strategies as st

DAYS = st.sampled_from(["28 April", "28 Apr", "04-28", "April 28", "1 May", "30 avril"])
QUOTED = st.sampled_from(["{}", "'{}'", '"{}"'])
COMMENT = st.sampled_from(["", " # average", "      # 28 April, so the station says: 'last: 28 April'", " # 🌱 é"])
GAP = st.sampled_from(["", "# remark\n", "\n", "# last: 28 April\n\n"])
SPACE = st.sampled_from([" ", "  ", "      "])
LINE_END = st.sampled_from(["\n", "\r\n"])
BOM = st.sampled_from([b"", b"\xef\xbb\xbf"])
NAME = st.text(st.characters(codec="utf-8", categories=("L", "N", "S")), min_size=1, max_size=8)
FLOW_KEYS = st.sampled_from(["", " ", "first: 19 October, ", "spread: 9,  "])


@st.composite
def layouts(draw: st.DrawFn) -> tuple[bytes, bytes, bytes]:
    """What stands before the value under frost: last, the value as written, and what stands after it."""
    value = draw(QUOTED).format(draw(DAYS))
    name = draw(NAME)
    if draw(st.booleans()):
        before = f"frost:{draw(SPACE)}{{{draw(FLOW_KEYS)}last:{draw(SPACE)}"
        after = draw(st.sampled_from(["}", " }", ", spread: 9}", ",  first: 4 November }"])) + draw(COMMENT)
        if "spread" in before and "spread" in after:
            after = "}"
        if "first" in before and "first" in after:
            after = "}"
    else:
        indent = draw(st.sampled_from(["  ", "    ", "       "]))
        first = f"{indent}first: 19 October{draw(COMMENT)}\n"
        above = draw(st.booleans())
        before = f"frost:{draw(COMMENT)}\n{draw(GAP)}{first if above else ''}{indent}last:{draw(SPACE)}"
        after = draw(COMMENT) + "\n" + draw(GAP) + ("" if above else first.rstrip("\n"))
    head = f"{draw(GAP)}site: '{name}'{draw(COMMENT)}\nlatitude: 52\n"
    tail = draw(st.sampled_from(["", "\n", "\nbeds: {}\n# end: last: 28 April", "\nlast: 3\n"]))
    end = draw(LINE_END)
    parts = [text.replace("\n", end).encode() for text in (head + before, value, after + tail)]
    return draw(BOM) + parts[0], parts[1], parts[2]


@given(layouts(), st.sampled_from(["9 May", "1 June", "5-09", "29 February"]))
def test_only_the_bytes_of_the_value_change(layout: tuple[bytes, bytes, bytes], new: str) -> None:
    before, value, after = layout
    data = with_value(before + value + after, "x.yaml", ("frost", "last"), new, Faults())
    assert data == before + new.encode() + after
    assert yaml.load(data.decode("utf-8-sig"), yaml.BaseLoader)["frost"]["last"] == new


@pytest.mark.parametrize(("text", "told"), [
    ("site: x\n", "x.yaml:1:1: \"frost\" is missing; add it by hand first"),
    ("frost: none\n", 'frost: "last" is missing; add it by hand first'),
    ("frost: {first: 1 May}\n", 'frost: "last" is missing; add it by hand first'),
    ("frost:\n  last:\n  first: 1 May\n", "frost: last: has no single value; write it by hand first"),
    ("frost:\n  last: [1 May]\n", "frost: last: has no single value; write it by hand first"),
    ("frost:\n  last: >\n    1 May\n", "frost: last: stands over several lines; write it on one, by hand"),
    ("- a\n", 'expected keys and values ("site: …") at the top'),
])
def test_what_cannot_be_replaced_is_told(text: str, told: str) -> None:
    with pytest.raises(InputError) as raised:
        with_value(text.encode(), "x.yaml", ("frost", "last"), "9 May", Faults())
    assert told in str(raised.value.problems[0])
