"""Reads one crop file: keys as in ``Crop``, in kebab-case; weeks, days, °C, cm, mm and years with their sources.

``crop`` collects every fault of the file. Numbers are checked against physical bounds (the table ``_BOUNDS``), so a
slip of a digit or a unit does not get through.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast, get_args

from calgen.knowledge.model import (
    Crop,
    CropSeason,
    Feeding,
    Hardiness,
    Lifting,
    Method,
    Piece,
    Preparing,
    Undersow,
)
from calgen.knowledge.plant_file import names, statements
from calgen.knowledge.quantity import one_of, quantity
from calgen.site.convert import one_line

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Quantity, Source
    from calgen.yamlfile import Mapping as Keys
    from calgen.yamlfile import Node

_METHODS: Final = cast("tuple[str, ...]", get_args(Method))
_SEED_SIZES: Final = ("small", "large", "sets")
_COUNTED: Final = ("sowing", "transplanting", "planting")
_YES_NO: Final = ("yes", "no")
_TABLES: Final = ("spring", "autumn-latest", "overwinter")

_BOUNDS: Final[dict[str, tuple[str, float, float]]] = {
    "spring": ("weeks", -20, 20),
    "autumn-latest": ("weeks", 0, 30),
    "overwinter": ("weeks", -20, 12),
    "indoors-weeks": ("weeks", 1, 16),
    "maturity-days": ("days", 15, 1500),
    "harvest-days": ("days", 1, 250),
    "maturity-dd": ("C days", 100, 6000),
    "base-c": ("C", -2, 20),
    "cap-c": ("C", 20, 45),
    "germination-min-c": ("C", -2, 25),
    "germination-best-c": ("C", 5, 40),
    "germination-max-c": ("C", 15, 48),
    "soil-min-c": ("C", 0, 25),
    "heat-limit-c": ("C", 12, 40),
    "damage-c": ("C", -35, 12),
    "kill-c": ("C", -40, 5),
    "in-row-cm": ("cm", 1, 300),
    "rows-cm": ("cm", 5, 400),
    "depth-mm": ("mm", 0, 300),
    "gap-years": ("years", 0, 15),
    "disease-gap-years": ("years", 1, 30),
    "succession-days": ("days", 5, 60),
    "save-seed-days": ("days", 0, 250),
}


def crop(keys: Keys, sources: Mapping[str, Source]) -> Crop | None:
    """The crop of one file, or None after faults were added to those of ``keys``.

    Args:
        keys: the file's mapping.
        sources: the known sources by id.
    """
    before = len(keys.node.faults.found)
    known_as = names(keys)
    text = {key: keys.scalar(key, one_line) for key in ("family", "rotation-group")}
    feeding = keys.scalar("feeding", one_of(get_args(Feeding), "feeding class"))
    hardiness = keys.scalar("hardiness", one_of(get_args(Hardiness), "hardiness class"))
    methods = keys.items("methods", one_of(_METHODS, "method"))
    keys.need("methods")
    seed_size = keys.scalar("seed-size", one_of(_SEED_SIZES, "seed size"))
    spring, autumn, over = (_by_method(keys, key, sources) for key in _TABLES)
    flags = {key: keys.scalar(key, one_of(_YES_NO, "yes or no")) == "yes" for key in ("stands-winter", "perennial")}
    lifted = keys.scalar("lifted", one_of(_YES_NO, "yes or no"), "no") == "yes"
    number = {key: _number(keys, key, sources) for key in _BOUNDS if key not in _TABLES}
    counted_from = keys.scalar("counted-from", one_of(_COUNTED, "start of the count"))
    main_season = keys.scalar("main-season", one_of(get_args(CropSeason), "season"), None)
    piece = keys.scalar("piece", one_of(get_args(Piece), "piece to plant"), "sets")
    lifting = keys.scalar("lifting", one_of(get_args(Lifting), "way of lifting"), "roots")
    gap_reason = keys.scalar("gap-reason", one_line, None)
    undersow = _undersow(keys, sources)
    notes, cautions = statements(keys, "notes", sources), statements(keys, "cautions", sources)
    keys.finish()
    _check(keys, methods, (spring, autumn, over), number)
    if len(keys.node.faults.found) > before or undersow is None:
        return None
    return Crop(
        names=known_as,
        family=text["family"],
        rotation_group=text["rotation-group"],
        feeding=cast("Feeding", feeding),
        hardiness=cast("Hardiness", hardiness),
        methods=cast("tuple[Method, ...]", methods),
        seed_size=seed_size,  # type: ignore[arg-type]
        spring=spring,
        autumn_latest=autumn,
        overwinter=over,
        stands_winter=flags["stands-winter"],
        perennial=flags["perennial"],
        lifted=lifted,
        counted_from=counted_from,  # type: ignore[arg-type]
        gap_reason=gap_reason,
        main_season=main_season,  # type: ignore[arg-type]
        piece=piece,  # type: ignore[arg-type]
        lifting=lifting,  # type: ignore[arg-type]
        undersow=undersow,
        notes=notes,
        cautions=cautions,
        place=keys.place,
        **{key.replace("-", "_"): value for key, value in number.items()},  # type: ignore[arg-type]
    )


_NEEDED: Final = ("maturity-days", "harvest-days", "base-c", "in-row-cm", "rows-cm")


def _number(keys: Keys, key: str, sources: Mapping[str, Source]) -> Quantity | None:
    node = keys.need(key) if key in _NEEDED else keys.get(key)
    return quantity(node, _BOUNDS[key][0], sources, *_BOUNDS[key][1:])


def _by_method(keys: Keys, key: str, sources: Mapping[str, Source]) -> dict[Method, Quantity]:
    node = keys.get(key)
    if node is None:
        return {}
    inner = node.mapping()
    found = {method: quantity(inner.get(method), _BOUNDS[key][0], sources, *_BOUNDS[key][1:]) for method in _METHODS}
    inner.finish()
    return {cast("Method", method): value for method, value in found.items() if value is not None}


def _undersow(keys: Keys, sources: Mapping[str, Source]) -> Undersow | None:
    node = keys.need("undersow")
    if node is None:
        return None
    inner = node.mapping()
    if inner.broken:
        return None
    possible = inner.scalar("possible", one_of(_YES_NO, "yes or no")) == "yes"
    from_days = quantity(inner.get("from-days"), "days", sources, 7, 150)
    note = inner.scalar("note", one_line)
    inner.need("source")
    origin = inner.items("source", one_of(sources, "source"))
    if possible and from_days is None:
        inner.node.fault('is possible but has no "from-days"; add it')
    before, before_origin = _before(inner.get("before"), sources)
    inner.finish()
    return Undersow(possible, from_days, note, origin, before, before_origin)


def _before(node: Node | None, sources: Mapping[str, Source]) -> tuple[Preparing | None, tuple[str, ...]]:
    if node is None:
        return None, ()
    inner = node.mapping()
    way = inner.scalar("way", one_of(get_args(Preparing), "way to prepare a crop"))
    inner.need("source")
    origin = inner.items("source", one_of(sources, "source"))
    inner.finish()
    return cast("Preparing", way), origin


def _check(keys: Keys, methods: tuple[str, ...], tables: tuple[dict[Method, Quantity], ...],
           number: dict[str, Quantity | None]) -> None:
    """Meaning across fields: methods that have dates, temperatures in their order."""
    dated = {method for table in tables for method in table}
    for extra in sorted(dated.difference(methods)):
        keys.node.fault(f'has dates for "{extra}", which is not among its methods')
    for undated in sorted(set(methods).difference(dated)):
        keys.node.fault(f'has no dates for its method "{undated}"; add them under {", ".join(_TABLES)}')
    if "transplant" in methods and number["indoors-weeks"] is None:
        keys.node.fault('is transplanted but has no "indoors-weeks"; add it')
    for lower, higher in (("kill-c", "damage-c"), ("germination-min-c", "germination-best-c"),
                          ("germination-best-c", "germination-max-c"), ("base-c", "cap-c"), ("base-c", "heat-limit-c")):
        low, high = number[lower], number[higher]
        if low is not None and high is not None and low.low > high.high:
            keys.node.fault(f'"{lower}" lies above "{higher}"')
