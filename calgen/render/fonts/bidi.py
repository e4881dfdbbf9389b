"""Logical to visual order of one line of text, by the Unicode bidirectional algorithm (UAX #9).

Implemented: paragraph direction (P2, P3), weak types (W1-W7), bracket pairs (N0), neutrals (N1, N2), implicit levels
(I1, I2), trailing blanks (L1), reordering with marks kept behind their base (L2, L3), mirrored brackets (L4). Left out:
explicit embeddings, overrides and isolates, which the site file does not accept.
"""

from __future__ import annotations

import unicodedata
from typing import Final

_PAIRS: Final = ("()", "[]", "{}", "〈〉", "《》", "「」", "『』", "【】", "〔〕")
_OPENING: Final = {pair[0]: pair[1] for pair in _PAIRS}
_CLOSING: Final = {pair[1]: pair[0] for pair in _PAIRS}
_MIRRORED: Final = {one: other for pair in (*_PAIRS, "<>", "«»", "‹›", "≤≥")
                    for one, other in ((pair[0], pair[1]), (pair[1], pair[0]))}
_TURNING: Final = frozenset({"R", "AL", "AN"})
_STRONG: Final = {"L": "L", "R": "R", "EN": "R", "AN": "R"}


def is_right_to_left(text: str) -> bool:
    """Whether the first strong character of the text runs from right to left (P2, P3)."""
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind in ("L", "R", "AL"):
            return kind != "L"
    return False


def visual(text: str, right_to_left: bool | None = None) -> str:
    """The characters of a line in the order in which they stand from left to right.

    Args:
        text: one line, in logical order.
        right_to_left: direction of the paragraph; None takes it from the first strong character.
    """
    base = int(is_right_to_left(text) if right_to_left is None else right_to_left)
    if not base and _TURNING.isdisjoint(map(unicodedata.bidirectional, text)):
        return text
    kinds = [unicodedata.bidirectional(character) or "L" for character in text]
    levels = _levels(text, kinds, base)
    order = _order(levels)
    order = _marks_after_base(text, levels, order)
    return "".join(_MIRRORED.get(text[index], text[index]) if levels[index] % 2 else text[index] for index in order)


def _levels(text: str, kinds: list[str], base: int) -> list[int]:
    edge = "R" if base else "L"
    resolved = _weak(kinds, edge)
    _brackets(text, kinds, resolved, edge)
    _neutral(resolved, edge)
    levels = []
    for kind in resolved:
        if base:
            levels.append(2 if kind in ("L", "EN", "AN") else 1)
        else:
            levels.append({"L": 0, "R": 1}.get(kind, 2))
    for index in range(len(text) - 1, -1, -1):
        if kinds[index] not in ("WS", "S", "B", "BN"):
            break
        levels[index] = base
    for index, kind in enumerate(kinds):
        if kind in ("S", "B"):
            levels[index] = base
    return levels


def _weak(kinds: list[str], edge: str) -> list[str]:
    """Resolved types L, R, EN, AN, and ON for all that takes its direction from around it (W1-W7)."""
    types = _after_strong(kinds, edge)
    for index in range(1, len(types) - 1):  # W4
        sides = types[index - 1], types[index + 1]
        if types[index] == "ES" and sides == ("EN", "EN"):
            types[index] = "EN"
        elif types[index] == "CS" and sides in (("EN", "EN"), ("AN", "AN")):
            types[index] = sides[0]
    index = 0
    while index < len(types):  # W5
        end = index
        while end < len(types) and types[end] == "ET":
            end += 1
        if end > index and ((index and types[index - 1] == "EN") or (end < len(types) and types[end] == "EN")):
            types[index:end] = ["EN"] * (end - index)
        index = max(end, index + 1)
    strong = edge
    for index, kind in enumerate(types):  # W6, W7
        if kind in ("L", "R"):
            strong = kind
        elif kind == "EN" and strong == "L":
            types[index] = "L"
        elif kind not in ("EN", "AN"):
            types[index] = "ON"
    return types


def _after_strong(kinds: list[str], edge: str) -> list[str]:
    """Marks take the type before them; numbers after an Arabic letter are Arabic ones (W1-W3)."""
    types = []
    previous, strong = edge, edge
    for kind in kinds:
        now = previous if kind in ("NSM", "BN") else kind
        if now == "EN" and strong == "AL":
            now = "AN"
        if kind in ("L", "R", "AL"):
            strong = kind
        previous = now
        types.append("R" if now == "AL" else now)
    return types


def _brackets(text: str, kinds: list[str], types: list[str], edge: str) -> None:
    for start, end in _bracket_pairs(text, types):
        inside = {_STRONG[kind] for kind in types[start + 1:end] if kind in _STRONG}
        if edge in inside:
            chosen = edge
        elif inside:
            before = next((_STRONG[kind] for kind in reversed(types[:start]) if kind in _STRONG), edge)
            chosen = before if before != edge else edge
        else:
            continue
        for index in (start, end):
            types[index] = chosen
            for mark in range(index + 1, len(text)):
                if kinds[mark] != "NSM":
                    break
                types[mark] = chosen


def _bracket_pairs(text: str, types: list[str]) -> list[tuple[int, int]]:
    stack: list[tuple[str, int]] = []
    pairs = []
    for index, character in enumerate(text):
        if types[index] != "ON":
            continue
        if character in _OPENING:
            stack.append((character, index))
        elif character in _CLOSING:
            for depth in range(len(stack) - 1, -1, -1):
                if stack[depth][0] == _CLOSING[character]:
                    pairs.append((stack[depth][1], index))
                    del stack[depth:]
                    break
    return sorted(pairs)


def _neutral(types: list[str], edge: str) -> None:
    index = 0
    while index < len(types):
        end = index
        while end < len(types) and types[end] == "ON":
            end += 1
        if end > index:
            before = _STRONG[types[index - 1]] if index else edge
            after = _STRONG[types[end]] if end < len(types) else edge
            types[index:end] = [before if before == after else edge] * (end - index)
        index = max(end, index + 1)


def _order(levels: list[int]) -> list[int]:
    order = list(range(len(levels)))
    for level in range(max(levels, default=0), 0, -1):
        index = 0
        while index < len(order):
            end = index
            while end < len(order) and levels[order[end]] >= level:
                end += 1
            order[index:end] = reversed(order[index:end])
            index = max(end, index + 1)
    return order


def _marks_after_base(text: str, levels: list[int], order: list[int]) -> list[int]:
    placed: list[int] = []
    waiting: list[int] = []
    for index in order:
        if levels[index] % 2 and unicodedata.category(text[index]) == "Mn":
            waiting.append(index)
            continue
        placed.append(index)
        placed.extend(reversed(waiting))
        waiting.clear()
    return [*placed, *waiting]
