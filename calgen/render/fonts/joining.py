"""Arabic letters to their joined forms, by the presentation forms that Unicode keeps for them.

The joining behaviour of a letter is read off the forms it has: a letter with an initial form joins on both sides, one
with only a final form joins to the letter before it. Covers the letters of Arabic, Persian and Urdu (U+FB50-FEFC).
"""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import Final

from msgspec import Struct

TATWEEL: Final = "ـ"
ZERO_WIDTH_JOINER: Final = "\u200d"
LAM: Final = "ل"


class _Forms(Struct, frozen=True):
    """The shapes of one letter; an empty text where it has none."""

    isolated: str = ""
    initial: str = ""
    medial: str = ""
    final: str = ""

    @property
    def joins_next(self) -> bool:
        return bool(self.initial)

    @property
    def joins_previous(self) -> bool:
        return bool(self.final)


@cache
def _tables() -> tuple[dict[str, _Forms], dict[str, _Forms]]:
    """Forms of single letters, and of the ligatures of lam with an alef (keyed by the two letters)."""
    found: dict[str, dict[str, str]] = {}
    for code in (*range(0xFB50, 0xFE00), *range(0xFE70, 0xFEFD)):
        tag, _, parts = unicodedata.decomposition(chr(code)).partition(" ")
        letters = "".join(chr(int(part, 16)) for part in parts.split())
        form = tag.strip("<>")
        if form not in ("isolated", "initial", "medial", "final"):
            continue
        ligature = len(letters) == 2 and letters[0] == LAM and code >= 0xFEF5
        if len(letters) == 1 or ligature:
            found.setdefault(letters, {})[form] = chr(code)
    forms = {letters: _Forms(**shapes) for letters, shapes in found.items()}
    return ({key: value for key, value in forms.items() if len(key) == 1},
            {key: value for key, value in forms.items() if len(key) == 2})


def is_joining_letter(character: str) -> bool:
    """Whether the character is an Arabic letter whose forms are known here."""
    return character in _tables()[0]


def joined(text: str) -> str:
    """The text with each Arabic letter in the form its neighbours ask for, still in logical order.

    Marks (category Mn) are looked through, as Unicode's joining rules do; a zero-width non-joiner parts two letters.
    """
    letters, ligatures = _tables()
    if letters.keys().isdisjoint(text):
        return text
    bases = [index for index, character in enumerate(text) if unicodedata.category(character) != "Mn"]
    drawn = list(text)
    skip = -1
    for at, index in enumerate(bases):
        character = text[index]
        if index == skip or character not in letters:
            continue
        before = text[bases[at - 1]] if at else ""
        previous = letters[character].joins_previous and _joins_next(before)
        pair = character + text[bases[at + 1]] if at + 1 < len(bases) else ""
        if pair in ligatures:
            forms = ligatures[pair]
            drawn[index] = (forms.final if previous else forms.isolated) or forms.isolated
            skip = bases[at + 1]
            drawn[skip] = ""
            continue
        after = text[bases[at + 1]] if at + 1 < len(bases) else ""
        following = letters[character].joins_next and _joins_previous(after)
        forms = letters[character]
        if previous and following:
            shape = forms.medial
        elif previous:
            shape = forms.final
        elif following:
            shape = forms.initial
        else:
            shape = forms.isolated
        drawn[index] = shape or character
    return "".join(drawn)


def _joins_next(character: str) -> bool:
    forms = _tables()[0].get(character)
    return character in (TATWEEL, ZERO_WIDTH_JOINER) or bool(forms and forms.joins_next)


def _joins_previous(character: str) -> bool:
    forms = _tables()[0].get(character)
    return character in (TATWEEL, ZERO_WIDTH_JOINER) or bool(forms and forms.joins_previous)
