"""Small damages to a text file: bytes, lines, words and indentation, as slips of the hand and malice would do them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from random import Random

ODD = (
    "", "~", "null", "NO", "[]", "{}", "[[]]", "{a: 1}", "- x", "*a", "&a", "!!python/name:os.system", "<<", "|", ">",
    "---", "...", "?", ": ", "#", '"', "'", '"\\0"', '"\\e[2J"', '"\\u202Ex"', '"a\\r\\nEND:VCALENDAR"', "0", "-0",
    "-1", "1e999", "nan", "inf", "-inf", "9" * 400, "0x10", "1_000", "6:30", "0.0000001", "65", "-65", "90", "1e3",
    "２", "²", "½", "−7", "1 in 0", "0 in 0", "100 %", "0 x 0 m", "0.1 x 0.1 m", "200 x 500 m", "1 x 0.2 l",
    "5000 x 2000 l", "2026-02-29", "29 February", "0000-01-01", "0001-01-01", "9999-12-31", "2150-12-31",
    "1950-01-01", "31 April", "1 January", "31 December", "13/13/2026", "none", "choose", "tomato", "cereal rye",
    "winter rye", "straw", "[cereal rye, hairy vetch]", "undersown", "between-rows", "yes", "Sat", "en", "de", "xx",
    "de-at", "../../x", "/dev/null", "..", ".", "C:\\x", "a/b", "<script>", "]]>", "&amp;", "{x}", "{", "}", "{0}",
    "{x.__class__}", "{x!r:>99}", "%s", "é", "日本", "\u202e", "\x1b[31m", "\x00", "\ufeff", "\ud7ff", "🥕" * 30, "1,5",
    "1;5", "-9999", "99.9", "TMAX", "TMIN", "USC00011084", "20250101", "true", "false", "-1.5", "1e-7", "2147483648",
)


def damaged(data: bytes, chance: Random, kin: tuple[bytes, ...] = ()) -> bytes:
    """The text after one to six damages.

    Args:
        data: the text.
        chance: where all chance comes from; the same state gives the same damages.
        kin: other texts of the kind, to take lines from.
    """
    for _ in range(chance.choice((1, 1, 1, 2, 2, 3, 6))):
        data = chance.choice(WAYS)(data, chance, kin)
    return data


def _value(data: bytes, chance: Random, _: object) -> bytes:
    """Another word after a colon, comma or bracket."""
    places = list(re.finditer(rb"(?<=[:,\[;\t-])[^\n,\[\]{}:;\t]+", data))
    if not places:
        return data
    place = chance.choice(places)
    word = chance.choice(ODD) if chance.random() < 0.6 else chance.choice(places).group().decode("utf-8", "replace")
    return data[: place.start()] + b" " + word.encode() + data[place.end():]


def _number(data: bytes, chance: Random, _: object) -> bytes:
    """Another number."""
    places = list(re.finditer(rb"-?[0-9]+(\.[0-9]+)?", data))
    if not places:
        return data
    place = chance.choice(places)
    known = float(place.group()) if len(place.group()) < 300 else 1.0
    new = chance.choice((0, 1, -1, known + 1, known - 1, -known, known * 10, known / 7, chance.randint(-70, 70),
                         chance.randint(1, 12), chance.randint(1900, 2200), 10.0 ** chance.randint(-9, 30)))
    return data[: place.start()] + f"{new:g}".encode() + data[place.end():]


def _lines(data: bytes, chance: Random, kin: tuple[bytes, ...]) -> bytes:
    """A line dropped, doubled, moved, indented otherwise, or taken from another text."""
    lines = data.split(b"\n")
    at = chance.randrange(len(lines))
    way = chance.randrange(6)
    if way == 0:
        del lines[at: at + chance.randint(1, 4)]
    elif way == 1:
        lines[at:at] = lines[at: at + chance.randint(1, 3)]
    elif way == 2:
        lines.insert(chance.randrange(len(lines)), lines.pop(at))
    elif way == 3:
        lines[at] = b" " * chance.randint(0, 9) + lines[at].lstrip()
    elif way == 4 and kin:
        other = chance.choice(kin).split(b"\n")
        start = chance.randrange(len(other))
        lines[at:at] = other[start: start + chance.randint(1, 5)]
    else:
        lines.insert(at, b" " * chance.randint(0, 8) + chance.choice(ODD).encode())
    return b"\n".join(lines)


def _bytes(data: bytes, chance: Random, _: object) -> bytes:
    """Bytes put in, taken out, or cut off."""
    at = chance.randrange(len(data) + 1)
    way = chance.randrange(5)
    if way == 0:
        return data[:at] + bytes([chance.randrange(256)]) + data[at:]
    if way == 1:
        return data[:at] + chance.choice(ODD).encode() + data[at:]
    if way == 2:
        return data[:at] + data[at + chance.randint(1, 12):]
    if way == 3:
        return data[:at] + bytes([chance.choice(b":-[]{}#'\",\n\t |>&*!%@`")]) + data[at:]
    return data[:at] if chance.random() < 0.2 else data


WAYS = (_value, _value, _value, _number, _number, _lines, _lines, _bytes)
