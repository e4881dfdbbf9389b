"""Fonts beyond the bundled ones: the grower's own files, and those of the system for scripts nothing else covers.

The only place in the renderers that reads files besides the bundled faces.
"""

from __future__ import annotations

import struct
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from calgen.plainfile import opened
from calgen.problems import InputError, Place, Problem
from calgen.render.fonts.face import FontFile, Typesetter
from calgen.render.fonts.outline import truetype
from calgen.render.fonts.system import font_files
from calgen.render.fonts.table import faces

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from calgen.render.fonts.table import Tables


def typesetter(fonts: tuple[str, ...], *, system_fonts: bool) -> Typesetter:
    """A typesetter with the grower's own font files and, when allowed, the system's as a last resort.

    Raises:
        InputError: a named file is missing or is no font that can be embedded.
    """
    problems = []
    own: list[FontFile] = []
    to_convert: list[Tables] = []
    for path in fonts:
        try:
            face = _own_face(Path(path).expanduser())
        except (OSError, ValueError) as error:
            what = error.strerror if isinstance(error, OSError) else str(error)
            problems.append(Problem(Place(path), "fonts", f"{what}; name a font file (.ttf, .ttc, .otf) that is there"))
            continue
        if face.is_static_truetype:
            own.append(_file(face.data, face.index))
        else:
            to_convert.append(face)
    if problems:
        raise InputError(problems)

    def more(lacking: frozenset[str]) -> Iterable[FontFile]:
        wanted = {ord(character) for character in lacking}
        yield from _chosen(to_convert, wanted)
        if wanted and system_fonts:
            yield from _chosen(_ranked_system_faces(frozenset(wanted)), wanted)

    return Typesetter(tuple(own), more)


def _own_face(path: Path) -> Tables:
    found = faces(_bytes(path))
    if not found:
        raise ValueError("is no font file")
    face = next((face for face in found if face.is_static_truetype), found[0])
    if not face.may_be_embedded:
        raise ValueError("does not allow embedding")
    return face


def _bytes(path: Path) -> bytes:
    with opened(path) as file:
        return file.read()


def _file(data: bytes, index: int) -> FontFile:
    return FontFile(f"own-{sha256(data).hexdigest()[:12]}-{index}", data, index)


def _chosen(offers: Iterable[Tables], wanted: set[int]) -> Iterator[FontFile]:
    """Font files of the faces that add something; what they have is taken out of ``wanted``."""
    for face in offers:
        has = face.has(frozenset(wanted))
        if not has:
            continue
        data: bytes | None = face.data
        index = face.index
        if not face.is_static_truetype:
            data, index = truetype(face.data, face.index, has), 0
        if data is not None:
            wanted -= has
            yield _file(data, index)


def _ranked_system_faces(wanted: frozenset[int]) -> list[Tables]:
    """Faces of the system that have any of these code points, the best first: most of them, plain, upright, regular."""
    offers: list[tuple[tuple[object, ...], Tables]] = []
    for path in font_files():
        name = path.name.lower()
        try:
            for face in faces(path.read_bytes()):
                if face.may_be_embedded and (has := face.has(wanted)):
                    rank = (-len(has), not face.is_static_truetype, face.is_bold, "serif" in name, "mono" in name, name,
                            face.index)
                    offers.append((rank, face))
        except (OSError, ValueError, IndexError, struct.error):
            continue  # a broken file among the system's fonts is none of the grower's business
    return [face for _, face in sorted(offers, key=lambda offer: offer[0])]
