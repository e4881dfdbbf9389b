"""What an OpenType file says of itself in its tables: faces, kind of outlines, characters, whether it may be embedded.

Read straight from the bytes, so that a folder of fonts can be searched without opening each one in full.
Source: OpenType specification 1.9 (tables cmap, OS/2, head; TTC header).
"""

from __future__ import annotations

import struct
from bisect import bisect_left, bisect_right

from msgspec import Struct

_COLLECTION = b"ttcf"
_RESTRICTED = 0x0002  # OS/2 fsType: may not be embedded without permission


class Tables(Struct, frozen=True):
    """One face of a font file. ``outlines`` tells whether they are TrueType's (``glyf``) or PostScript's (``CFF``)."""

    index: int
    offsets: dict[str, tuple[int, int]]
    data: bytes

    @property
    def is_static_truetype(self) -> bool:
        """Whether the face can be embedded as it is."""
        return "glyf" in self.offsets and "fvar" not in self.offsets

    @property
    def is_bold(self) -> bool:
        """Whether the face calls itself bold (head.macStyle)."""
        at, _ = self.offsets.get("head", (0, 0))
        return bool(at) and bool(struct.unpack_from(">H", self.data, at + 44)[0] & 1)

    @property
    def may_be_embedded(self) -> bool:
        """Whether its licence bits allow it to be put into a document (OS/2.fsType)."""
        at, length = self.offsets.get("OS/2", (0, 0))
        return length < 10 or not struct.unpack_from(">H", self.data, at + 8)[0] & _RESTRICTED

    def has(self, codes: frozenset[int]) -> frozenset[int]:
        """Which of these code points have a glyph, by the cmap subtables for Unicode (formats 4 and 12)."""
        start, _ = self.offsets.get("cmap", (0, 0))
        if not start:
            return frozenset()
        found: set[int] = set()
        (count,) = struct.unpack_from(">H", self.data, start + 2)
        for number in range(count):
            platform, encoding, offset = struct.unpack_from(">HHL", self.data, start + 4 + 8 * number)
            if platform == 0 or (platform == 3 and encoding in (1, 10)):
                found |= _mapped(self.data, start + offset, codes - found)
        return frozenset(found)


def faces(data: bytes) -> tuple[Tables, ...]:
    """The faces of a font file or collection; none when the bytes are no OpenType.

    Raises:
        ValueError: the file is cut short or its tables lie outside it.
    """
    try:
        if data[:4] == _COLLECTION:
            (count,) = struct.unpack_from(">L", data, 8)
            starts = struct.unpack_from(f">{min(count, 64)}L", data, 12)
        elif data[:4] in (b"\x00\x01\x00\x00", b"true", b"OTTO"):
            starts = (0,)
        else:
            return ()
        return tuple(Tables(index, _directory(data, start), data) for index, start in enumerate(starts))
    except struct.error as error:
        raise ValueError("is no whole font file") from error


def _directory(data: bytes, start: int) -> dict[str, tuple[int, int]]:
    (count,) = struct.unpack_from(">H", data, start + 4)
    found = {}
    for number in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, start + 12 + 16 * number)
        found[tag.decode("latin-1").strip()] = (offset, length)
    return found


def _mapped(data: bytes, at: int, codes: frozenset[int] | set[int]) -> set[int]:
    """Which code points a cmap subtable maps to a glyph."""
    (form,) = struct.unpack_from(">H", data, at)
    if form == 12:
        (groups,) = struct.unpack_from(">L", data, at + 12)
        rows = struct.unpack_from(f">{groups * 3}L", data, at + 16)
        starts, ends = rows[0::3], rows[1::3]
        return {code for code in codes if (after := bisect_right(starts, code)) and code <= ends[after - 1]}
    if form != 4:
        return set()
    (double,) = struct.unpack_from(">H", data, at + 6)
    count = double // 2
    ends = struct.unpack_from(f">{count}H", data, at + 14)
    starts = struct.unpack_from(f">{count}H", data, at + 16 + double)
    deltas = struct.unpack_from(f">{count}H", data, at + 16 + 2 * double)
    ranges_at = at + 16 + 3 * double
    offsets = struct.unpack_from(f">{count}H", data, ranges_at)
    found = set()
    for code in codes:
        number = bisect_left(ends, code)
        if code >= 0xFFFF or number == count or starts[number] > code:
            continue
        glyph = code + deltas[number]
        if offsets[number]:
            place = ranges_at + 2 * number + offsets[number] + 2 * (code - starts[number])
            (glyph,) = struct.unpack_from(">H", data, place)
            glyph = glyph + deltas[number] if glyph else 0
        if glyph & 0xFFFF:
            found.add(code)
    return found
