"""Reads one cover file: keys as in ``Cover``, in kebab-case, numbers with their units and sources.

``cover`` collects every fault of the file. Numbers are checked against physical bounds (``_BOUNDS``, ``_TABLES``), so
a slip of a digit or a unit does not get through. Tables of judged ratings may share one source:

    ratings: {unit: rating, source: own, why: …, values: {nitrogen: 3, weeds: 2}}
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, get_args

from calgen.knowledge.model import Cover, SeedStep, Stage
from calgen.knowledge.plant_file import names, statements
from calgen.knowledge.quantity import number, one_of, quantity, table, words
from calgen.site.convert import one_line
from calgen.site.model import PURPOSES, SOIL_PROBLEMS, SOIL_TYPES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Quantity, Source, Words
    from calgen.yamlfile import Mapping as Keys
    from calgen.yamlfile import Node

_KINDS: Final = ("grass", "legume", "brassica", "other")
_LIVES: Final = ("annual", "winter-annual", "biennial", "perennial")
_SEASONS: Final = ("spring", "summer", "late-summer", "autumn")
_SEED_SIZES: Final = ("small", "large")
_YES_NO: Final = ("yes", "no")
_WAYS: Final = ("winter-kill", "cut-at-ground", "cut-at-flowering", "cut-young", "tarp", "pull", "leave")
_FLAGS: Final = ("fixes-nitrogen", "long-day-flowering", "hurt-by-first-frost")
_RATING: Final = ("rating", 0.0, 4.0)

_BOUNDS: Final[dict[str, tuple[str, float, float]]] = {
    "seed-broadcast-g-m2": ("g/m2", 0.2, 60),
    "seed-drilled-g-m2": ("g/m2", 0.1, 50),
    "depth-mm": ("mm", 0, 100),
    "germination-min-c": ("C", -2, 20),
    "base-c": ("C", -2, 15),
    "emergence-dd": ("C days", 20, 400),
    "establish-dd": ("C days", 60, 1500),
    "survive-dd": ("C days", 40, 1200),
    "full-cover-dd": ("C days", 100, 2500),
    "kill-c": ("C", -45, 2),
    "biomass-t-ha": ("t/ha", 0.3, 20),
    "biomass-full-dd": ("C days", 200, 5000),
    "n-total-kg-ha": ("kg/ha", 5, 400),
    "root-depth-cm": ("cm", 5, 400),
    "undersow-fit": _RATING,
    "between-rows-fit": _RATING,
    "pot-fit": _RATING,
    "hand-ease": _RATING,
    "reseeds": _RATING,
}
_MAYBE: Final[dict[str, tuple[str, float, float]]] = {
    "germination-max-c": ("C", 15, 48),
    "flower-dd": ("C days", 100, 4000),
    "days-to-flower": ("days", 15, 400),
    "establish-weeks": ("weeks", -8, 20),
    "too-early-weeks": ("weeks", -4, 30),
    "sow-soil-c": ("C", 0, 25),
    "sow-below-c": ("C", 8, 35),
}
_TABLES: Final[dict[str, tuple[str, float, float, tuple[str, ...]]]] = {
    "n-percent": ("%", 0.3, 7, get_args(Stage)),
    "c-to-n": ("ratio", 5, 120, get_args(Stage)),
    "ratings": (*_RATING, PURPOSES),
    "soil-fit": (*_RATING, (*SOIL_TYPES, *SOIL_PROBLEMS)),
    "wait-weeks": ("weeks", 0, 12, ("small-seed", "large-seed", "transplant")),
}


def cover(keys: Keys, sources: Mapping[str, Source]) -> Cover | None:
    """The cover of one file, or None after faults were added to those of ``keys``.

    Args:
        keys: the file's mapping.
        sources: the known sources by id.
    """
    before = len(keys.node.faults.found)
    plant = names(keys)
    family = keys.scalar("family", one_line)
    kind = keys.scalar("kind", one_of(_KINDS, "kind"))
    life = keys.scalar("life", one_of(_LIVES, "length of life"))
    seasons = keys.items("seasons", one_of(_SEASONS, "season"))
    seed_size = keys.scalar("seed-size", one_of(_SEED_SIZES, "seed size"))
    flags = {key: keys.scalar(key, one_of(_YES_NO, "yes or no")) == "yes" for key in _FLAGS}
    frost_sown = keys.scalar("frost-sown", one_of(_YES_NO, "yes or no"), "no") == "yes"
    numbers = {key: quantity(keys.need(key), unit, sources, low, high)
               for key, (unit, low, high) in _BOUNDS.items()}
    numbers |= {key: quantity(keys.get(key), unit, sources, low, high)
                for key, (unit, low, high) in _MAYBE.items()}
    tables = {key: table(keys.need(key), unit, sources, low, high, known)
              for key, (unit, low, high, known) in _TABLES.items()}
    steps = _seed_steps(keys.get("seed-steps"), sources)
    ends = _ends(keys.need("ends"), sources)
    cut_stage = words(keys.need("cut-stage"), sources)
    notes, cautions = statements(keys, "notes", sources), statements(keys, "cautions", sources)
    keys.need("seasons")
    keys.finish()
    if len(keys.node.faults.found) == before:
        _check(keys, numbers, tables)
    if len(keys.node.faults.found) > before or cut_stage is None:
        return None
    return Cover(
        names=plant,
        family=family,
        kind=kind,  # type: ignore[arg-type]
        life=life,  # type: ignore[arg-type]
        seasons=seasons,  # type: ignore[arg-type]
        seed_steps=steps,
        seed_size=seed_size,  # type: ignore[arg-type]
        frost_sown=frost_sown,
        ends=ends,
        cut_stage=cut_stage,
        notes=notes,
        cautions=cautions,
        place=keys.place,
        **{key.replace("-", "_"): value for key, value in (flags | numbers | tables).items()},  # type: ignore[arg-type]
    )


def _seed_steps(node: Node | None, sources: Mapping[str, Source]) -> tuple[SeedStep, ...]:
    if node is None:
        return ()
    found = []
    for element in node.elements(single=False):
        keys = element.mapping()
        day, factor = keys.scalar("days-late", number), keys.scalar("factor", number)
        keys.need("source")
        origin = keys.items("source", one_of(sources, "source"))
        keys.finish()
        if isinstance(day, float) and isinstance(factor, float):
            if not (0 <= day <= 90 and 1 <= factor <= 4):
                element.fault("is out of bounds (0 to 90 days, factor 1 to 4)")
            found.append(SeedStep(day, factor, origin))
    if [step.from_days_late for step in found] != sorted(step.from_days_late for step in found):
        node.fault("has steps out of order; sort them by days-late")
    return tuple(found)


def _ends(node: Node | None, sources: Mapping[str, Source]) -> dict[str, Words]:
    if node is None:
        return {}
    inner = node.mapping()
    found = {way: words(inner.get(way), sources) for way in _WAYS}
    inner.finish()
    if not any(found.values()) and not inner.broken:
        node.fault("names no way of ending it")
    return {way: text for way, text in found.items() if text is not None}


_ORDER: Final = (
    ("kill-c", "germination-min-c"), ("base-c", "sow-below-c"), ("germination-min-c", "germination-max-c"),
    ("germination-min-c", "sow-soil-c"), ("emergence-dd", "survive-dd"), ("survive-dd", "establish-dd"),
    ("emergence-dd", "full-cover-dd"), ("full-cover-dd", "biomass-full-dd"),
    ("seed-drilled-g-m2", "seed-broadcast-g-m2"),
)


def _check(keys: Keys, numbers: dict[str, Quantity | None], tables: dict[str, dict[str, Quantity]]) -> None:
    """Meaning across fields: what must come first does, and no table is empty."""
    for lower, higher in _ORDER:
        low, high = numbers[lower], numbers[higher]
        if low is not None and high is not None and low.mid > high.mid and (node := keys.get(higher)):
            node.fault(f'lies below "{lower}"')
    for key, found in tables.items():
        node = keys.get(key)
        if node is not None and node.is_mapping and not found:
            node.fault("is an empty table")
    purposes = tables["ratings"]
    for purpose in PURPOSES:
        if purpose not in purposes and (node := keys.get("ratings")):
            node.fault(f'"{purpose}" is missing; add it')
