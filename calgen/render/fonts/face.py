"""Faces and lines of text: which face draws which character, in visual order, how wide it comes out.

A ``Typesetter`` holds the chain of faces: the bundled one, then the grower's own files, then what the system has. Each
line is split into runs by the first face that has the character; what no face has is reported, never drawn as a box.

    quantity   unit
    width_em   multiples of the font size
"""

from __future__ import annotations

import re
import unicodedata
from importlib.resources import files
from math import fsum
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct, field

from calgen.render.fonts.bidi import is_right_to_left, visual
from calgen.render.fonts.joining import is_joining_letter, joined

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

CAP_EM: Final = 0.729
ASCENT_EM: Final = 0.76
DESCENT_EM: Final = 0.24
REGULAR: Final = "calgen-regular"
BOLD: Final = "calgen-bold"
_BUNDLED: Final = {REGULAR: "DejaVuSansCondensed.ttf", BOLD: "DejaVuSansCondensed-Bold.ttf"}
# Letters of these blocks change shape or place with their neighbours by rules in the font, which nothing here applies.
_SHAPED_BLOCKS: Final = ((0x0700, 0x08FF), (0x0900, 0x109F), (0x1780, 0x17FF), (0x1800, 0x18AF), (0x1900, 0x1CFF),
                         (0xA800, 0xABFF))


_PLAIN: Final = (*range(0x20, 0x7F), *range(0xA1, 0xAD), *range(0xAE, 0x300), *range(0x2010, 0x2028))
"""Latin letters, signs and dashes; hard blanks and soft hyphens are not among them."""


class Run(Struct, frozen=True):
    """Characters in visual order that one face draws."""

    face: str
    text: str
    width_em: float


class Line(Struct, frozen=True):
    """One line ready to draw. ``missing`` holds the characters that no face has; they are in no run."""

    text: str
    runs: tuple[Run, ...]
    missing: frozenset[str]

    @property
    def width_em(self) -> float:
        """Width at a size of one. [em]"""
        return sum(run.width_em for run in self.runs)


class Face(Struct, frozen=True, eq=False):
    """One face as registered with reportlab."""

    name: str
    glyphs: frozenset[int]
    widths: dict[int, float]
    default_width: float

    def width_em(self, character: str) -> float:
        """Advance width of a character. [em]"""
        return self.widths.get(ord(character), self.default_width) / 1000

    def plain_em(self) -> dict[str, float]:
        """Advance widths of the characters that neither join, turn nor take marks. [em]"""
        return {chr(code): self.width_em(chr(code)) for code in _PLAIN if code in self.glyphs}


class FontFile(Struct, frozen=True):
    """A TrueType file (or one face of a collection) to take characters from. ``name`` depends on its bytes alone."""

    name: str
    data: bytes
    index: int = 0


class Typesetter(Struct):
    """Turns text into lines.

    Args:
        own: the grower's own font files, in order of preference.
        more: called with the characters not covered so far; returns files that may have them.
    """

    own: tuple[FontFile, ...] = ()
    more: Callable[[frozenset[str]], Iterable[FontFile]] | None = None
    uncovered: set[str] = field(default_factory=set)
    _extra: list[Face] = field(default_factory=list)
    _asked: set[str] = field(default_factory=set)
    _lines: dict[tuple[str, bool], Line] = field(default_factory=dict)
    _words: dict[tuple[str, bool], float] = field(default_factory=dict)
    _advances: dict[bool, _Advances] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._extra.extend(_face(file) for file in self.own)

    def prepare(self, texts: Iterable[str]) -> None:
        """Look once for faces that cover all these texts, so that a slow font is opened a single time."""
        self.line(" ".join(sorted(set("".join(texts)))))
        self._lines.clear()

    def line(self, text: str, *, bold: bool = False) -> Line:
        """The text as one line in visual order, split into runs."""
        key = text, bold
        if key not in self._lines:
            self._lines[key] = self._set(text, bold=bold)
        return self._lines[key]

    def width(self, text: str, size: float, *, bold: bool = False) -> float:
        """Width of the text on one line. [points]"""
        return self.line(text, bold=bold).width_em * size

    def advance_em(self, text: str, *, bold: bool = False) -> float:
        """How far the text moves on what follows it on a line, blanks at its ends included. [em]"""
        key = text, bold
        if key not in self._words:
            advances = self._advances_of(bold=bold)
            plain = advances.plain_width_em(text)
            self._words[key] = plain if plain is not None else fsum(
                advances[letter][1] for letter in joined(unicodedata.normalize("NFC", text)))
        return self._words[key]

    def covers(self, text: str) -> bool:
        """Whether every character of the text can be drawn."""
        return not self.line(text).missing

    def drawable(self, text: str, instead: str = "") -> str:
        """The text itself when every character can be drawn, else ``instead``, else its characters as code points.

        What could not be drawn is kept in ``uncovered``, so that the sheet can say that a font is missing.
        """
        if self._advances_of(bold=False).plain_width_em(text) is not None:
            return text
        missing = self.line(text).missing
        if not missing:
            return text
        self.uncovered |= missing
        if instead and not self.line(instead).missing:
            return instead
        return re.sub(f"[{re.escape(''.join(sorted(missing)))}]+", _spelled, unicodedata.normalize("NFC", text))

    def _set(self, text: str, *, bold: bool) -> Line:
        typed = " ".join(text.split())
        advances = self._advances_of(bold=bold)
        if typed and (plain := advances.plain_width_em(typed)) is not None:
            return Line(typed, (Run(advances.chain[0].name, typed, plain),), frozenset())
        typed = unicodedata.normalize("NFC", typed)
        drawn = visual(joined(typed), is_right_to_left(typed))
        lacking = frozenset(character for character in set(drawn) if advances[character][0] is None)
        if lacking - self._asked and self.more is not None:
            self._asked |= lacking
            self._extra.extend(_face(file) for file in self.more(lacking))
            self._advances.clear()
            self._words.clear()
            advances = self._advances_of(bold=bold)
            lacking = frozenset(character for character in lacking if advances[character][0] is None)
        runs: list[Run] = []
        now, letters, width_em = "", "", 0.0
        for character in drawn:
            face, advance_em = advances[character]
            if not face:
                continue
            if face != now and letters:
                runs.append(Run(now, letters, width_em))
                letters, width_em = "", 0.0
            now = face
            letters += character
            width_em += advance_em
        if letters:
            runs.append(Run(now, letters, width_em))
        return Line(typed, tuple(runs), lacking)

    def _advances_of(self, *, bold: bool) -> _Advances:
        if bold not in self._advances:
            self._advances[bold] = _Advances((_bundled(BOLD if bold else REGULAR), _bundled(REGULAR), *self._extra))
        return self._advances[bold]


class _Advances(dict[str, tuple[str | None, float]]):
    """Face and advance width [em] of each character by a chain of faces, found once.

    No face where none has it; an empty one, without width, where nothing is to be drawn.
    """

    def __init__(self, chain: tuple[Face, ...]) -> None:
        super().__init__()
        self.chain = chain
        self._plain = chain[0].plain_em()

    def plain_width_em(self, text: str) -> float | None:
        """Width of a text that the first face draws as it is written; None when it takes more than that to tell."""
        try:
            return fsum(map(self._plain.__getitem__, text))
        except KeyError:
            return None

    def __missing__(self, character: str) -> tuple[str | None, float]:
        found: tuple[str | None, float] = ("", 0.0)
        if _is_drawn(character):
            face = _face_of(character, self.chain)
            found = (face.name, face.width_em(character)) if face else (None, 0.0)
        self[character] = found
        return found


def _is_drawn(character: str) -> bool:
    """Not a control, a joiner, a variation selector."""
    return unicodedata.category(character) not in ("Cc", "Cf") and not 0xFE00 <= ord(character) <= 0xFE0F


def _needs_shaping(character: str) -> bool:
    code = ord(character)
    unjoined = 0x600 <= code <= 0x6FF and unicodedata.category(character) == "Lo" and not is_joining_letter(character)
    return unjoined or any(low <= code <= high for low, high in _SHAPED_BLOCKS)


def _face_of(character: str, chain: Iterable[Face]) -> Face | None:
    if _needs_shaping(character):
        return None
    return next((face for face in chain if ord(character) in face.glyphs), None)


def _spelled(found: re.Match[str]) -> str:
    return f"[{' '.join(f'U+{ord(character):04X}' for character in found.group())}]"


_FACES: Final[dict[str, Face]] = {}


def _bundled(name: str) -> Face:
    if name not in _FACES:
        _FACES[name] = _face(FontFile(name, files("calgen.render.fonts").joinpath(_BUNDLED[name]).read_bytes()))
    return _FACES[name]


def _face(file: FontFile) -> Face:
    """Register a face with reportlab, under our name: its own name could hide another file that has the same."""
    from io import BytesIO  # noqa: PLC0415

    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    if file.name not in _FACES:
        font: Any = TTFont(file.name, BytesIO(file.data), subfontIndex=file.index, shapable=False)
        if file.name not in _BUNDLED:
            font.face.name = file.name.encode("ascii")
        pdfmetrics.registerFont(font)
        _FACES[file.name] = Face(file.name, frozenset(font.face.charToGlyph), font.face.charWidths,
                                 font.face.defaultWidth)
    return _FACES[file.name]
