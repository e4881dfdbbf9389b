"""Places in the user's files and what is wrong there: the only formatting of errors.

Every stage may add a ``Problem``; ``cli`` prints them, sorted by place, and chooses the exit status.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, order=True)
class Place:
    """Where something stands in a file; line and column count from one, line 0 means the file as a whole."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True, slots=True, order=True)
class Problem:
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


def printable(text: str) -> str:
    """The text with � for what would move a terminal's cursor or turn the direction of reading."""
    return "".join(sign if sign.isprintable() else "�" for sign in text)


class InputError(Exception):
    """The input has problems; nothing was written. Carries every problem found in the run."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(slots=True)
class Faults:
    """Collects problems while a file is read, so that one run reports them all."""

    found: list[Problem] = field(default_factory=list)

    def add(self, place: Place, where: str, what: str) -> None:
        """Note a fault and go on reading."""
        self.found.append(Problem(place, where, what))

    def stop_if_any(self) -> None:
        """End this phase: raise ``InputError`` when anything was found."""
        if self.found:
            raise InputError(self.found)
