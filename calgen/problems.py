"""Places in the user's files and what is wrong there: the only formatting of errors.

Every stage may add a ``Problem``; ``cli`` prints them, sorted by place, and chooses the exit status.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Iterable

MOST_FAULTS: Final = 100
"""Nobody mends more between two runs, and each takes time to word. Judgement."""


class Place(Struct, frozen=True, order=True):
    """Where something stands in a file; line and column count from one, line 0 means the file as a whole."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


class Placed(Struct, frozen=True):
    """What stands in a file, its ``place`` among its fields: two that say the same are equal wherever they stand."""

    def _said(self) -> tuple[object, ...]:
        return tuple(getattr(self, name) for name in self.__struct_fields__ if name != "place")

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Placed) and type(self) is type(other) and self._said() == other._said()

    def __hash__(self) -> int:
        return hash(self._said())


class Problem(Struct, frozen=True, order=True):
    """One fault (``error``) or finding (``note``) and the place it belongs to."""

    place: Place
    where: str
    what: str
    level: Literal["error", "note"] = "error"

    def __str__(self) -> str:
        words = [str(self.place)]
        if self.level == "note":
            words.append("note")
        if self.where:
            words.append(self.where)
        words.append(self.what)
        return printable(": ".join(words))


_KEPT: Final = "\u00a0\u202f\u200c\u200d"
"""Hard blanks, and the joiners that Indic and Persian names and emoji need."""


def printable(text: str) -> str:
    """The text with � for what would move a terminal's cursor or turn the direction of reading."""
    return "".join(sign if sign.isprintable() or sign in _KEPT else "�" for sign in text)


class InputError(Exception):
    """The input has problems; nothing was written. Carries every problem found in the run."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


class Faults(Struct):
    """Collects problems while a file is read, so that one run reports them all."""

    found: list[Problem] = field(default_factory=list)

    def add(self, place: Place, where: str, what: str) -> None:
        """Note a fault and go on reading; with ``MOST_FAULTS`` of them reading ends (``InputError``)."""
        self.found.append(Problem(place, where, what))
        if len(self.found) >= MOST_FAULTS:
            rest = f"only the first {MOST_FAULTS} problems are shown; mend them, then look again"
            raise InputError([*self.found, Problem(Place(place.file), "", rest, "note")])

    def stop_if_any(self) -> None:
        """End this phase: raise ``InputError`` when anything was found."""
        if self.found:
            raise InputError(self.found)
