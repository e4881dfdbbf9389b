"""A JSON object read with care: each value by its type, with its path when it is not what it should be."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast
from uuid import UUID

from msgspec import Struct

from calgen.yamlfile import INVISIBLE, MAX_DEPTH

if TYPE_CHECKING:
    from collections.abc import Sequence

T = TypeVar("T", bound=str)
MOST: Final = 2**31 - 2
YEARS: Final = range(1000, 9000)
MOST_GIVEN: Final = 300_000
"""Values under one key: twice what site file and diary can hold."""


class Broken(Exception):
    """The file is not what calgen wrote: where (a path of keys), and what is wrong, as the end of a sentence."""

    def __init__(self, where: str, what: str, line: int = 1, column: int = 1) -> None:
        super().__init__(what)
        self.where, self.line, self.column = where, line, column


class Record(Struct, frozen=True):
    """An object of the file, at a path; every reader below raises ``Broken``."""

    values: dict[str, Any]
    path: str = ""

    @classmethod
    def of(cls, data: bytes) -> Record:
        """The object at the top of a file's bytes."""
        try:
            values = json.loads(data.decode("utf-8-sig"), parse_constant=_no_constant)
        except json.JSONDecodeError as error:
            raise Broken("", f"is no longer JSON ({error.msg})", error.lineno, error.colno) from None
        except UnicodeDecodeError as error:
            raise Broken("", "is not UTF-8 text", data.count(b"\n", 0, error.start) + 1) from None
        except (ValueError, RecursionError):
            raise Broken("", "holds values that calgen never writes") from None
        if not isinstance(values, dict):
            raise Broken("", "is not an object")
        return cls(values)

    def part(self, key: str) -> Record:
        """The object under a key; an empty one when it is not there."""
        return Record(self._typed(key, dict, {}, "an object"), self._at(key))

    def given(self, key: str) -> dict[str, Any]:
        """The object under a key, whatever is in it, as deep and as large as what a grower can give."""
        values: dict[str, Any] = self._typed(key, dict, {}, "an object")
        level: list[Any] = [values]
        count = 0
        for _ in range(MAX_DEPTH):
            below: list[Any] = []
            for value in level:
                if isinstance(value, dict):
                    below += [*value, *value.values()]
                elif isinstance(value, list):
                    below += value
                elif isinstance(value, str):
                    self._check_text(value, key)
            count += len(below)
            if count > MOST_GIVEN:
                break
            if not below:
                return values
            level = below
        raise Broken(self._at(key), "holds more than calgen ever writes")

    def parts(self, key: str) -> list[Record]:
        """The objects of the list under a key."""
        items = self._typed(key, list, None, "a list")
        for number, item in enumerate(items):
            if not isinstance(item, dict):
                raise Broken(f"{self._at(key)}[{number}]", "is not an object")
        return [Record(item, f"{self._at(key)}[{number}]") for number, item in enumerate(items)]

    def text(self, key: str, default: str | None = None) -> str:
        """The text under a key."""
        value = cast("str", self._typed(key, str, default, "text"))
        self._check_text(value, key)
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """The list of texts under a key."""
        items = self._typed(key, list, None, "a list")
        if not all(isinstance(item, str) for item in items):
            raise Broken(self._at(key), "is not a list of texts")
        for item in items:
            self._check_text(item, key)
        return tuple(items)

    def truth(self, key: str) -> bool:
        """True or false under a key; false when it is not there."""
        return cast("bool", self._typed(key, bool, False, "true or false"))

    def number(self, key: str, least: int) -> int:
        """The whole number under a key."""
        value = self._typed(key, int, None, "a whole number")
        if isinstance(value, bool) or not least <= value <= MOST:
            raise Broken(self._at(key), f"{value} is not a whole number from {least} to {MOST}")
        return cast("int", value)

    def amount(self, key: str) -> float:
        """The number under a key, kept an int where it was written as one."""
        value = self._typed(key, int | float, None, "a number")
        if isinstance(value, bool) or not -MOST < value < MOST:
            raise Broken(self._at(key), "is not a number in range")
        return cast("float", value)

    def one_of(self, key: str, known: Sequence[T]) -> T:
        """The text under a key, one of the known ones."""
        value = self.text(key)
        if value not in known:
            raise Broken(self._at(key), f'"{value}" is not one of {", ".join(known)}')
        return cast("T", value)

    def day(self, key: str) -> date:
        """The date under a key."""
        text = self.text(key)
        try:
            day = date.fromisoformat(text)
        except ValueError:
            raise Broken(self._at(key), f'"{text}" is not a date') from None
        if day.year not in YEARS:
            raise Broken(self._at(key), f'"{text}" is out of range')
        return day

    def moment(self, key: str) -> datetime:
        """The moment under a key, in UTC."""
        text = self.text(key)
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            raise Broken(self._at(key), f'"{text}" is not a date and time') from None
        if moment.tzinfo is None or moment.year not in YEARS:
            raise Broken(self._at(key), f'"{text}" is not a date and time in UTC')
        return moment.astimezone(UTC)

    def uid(self, key: str, default: str | None = None) -> str:
        """The UUID under a key, as it was written."""
        value = self.text(key, default)
        if value or default is None:
            self._check_uid(value, self._at(key))
        return value

    def uids(self) -> list[str]:
        """The keys of this object, each of them a UUID."""
        for key in self.values:
            self._check_uid(key, self._at(key))
        return list(self.values)

    def _typed(self, key: str, kind: Any, default: Any, words: str) -> Any:
        value = self.values.get(key, default)
        if value is None:
            raise Broken(self._at(key), "is missing")
        if not isinstance(value, kind):
            raise Broken(self._at(key), f"is not {words}")
        return value

    def _at(self, key: str) -> str:
        return f"{self.path}.{key}" if self.path else key

    def _check_text(self, value: str, key: str) -> None:
        whole = value.encode("utf-8", "ignore").decode()  # halves of characters do no harm
        if odd := INVISIBLE.search(whole):
            raise Broken(self._at(key), f"holds the invisible character U+{ord(odd.group()):04X}")

    @staticmethod
    def _check_uid(value: str, where: str) -> None:
        try:
            UUID(value)
        except ValueError:
            raise Broken(where, f'"{value}" is not a UUID') from None


def _no_constant(name: str) -> None:
    raise ValueError(name)
