"""What is known, as text and as data: one plant with its sources, marks and cautions; the list of all; counts of marks.

A number's mark: published values stand alone, those from memory and our own judgement say so, the latter with reason.
"""

from __future__ import annotations

import re
from collections import Counter
from itertools import groupby
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

from calgen.knowledge.model import Cover, Crop, Quantity, Words
from calgen.knowledge.names import folded, singulars
from calgen.knowledge.values import Sourced, knowledge_values, plant_values, used_sources
from calgen.yamlfile import nearest

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from calgen.knowledge.model import Knowledge, Names, Source

WIDTH: Final = 100
_UNIT_ENDINGS: Final = re.compile(r"_(g_m2|c|mm|cm|weeks|days|t_ha|kg_ha|years|dd)$")
_UNITS: Final = {"C": "°C", "C days": "°C·day", "g/m2": "g/m²", "rating": "of 4", "ratio": "", "share": ""}
_LABELS: Final = {
    "establish_dd": "heat for a full stand", "survive_dd": "heat to come through", "emergence_dd": "heat to emerge",
    "full_cover_dd": "heat to cover ground", "flower_dd": "heat to flower", "biomass_full_dd": "heat to full growth",
    "maturity_dd": "heat to maturity", "base_c": "grows above", "cap_c": "no more heat above",
    "n_total_kg_ha": "nitrogen held", "n_percent": "nitrogen, share", "c_to_n": "carbon to nitrogen",
    "kill_c": "dies at", "damage_c": "spoilt at", "sow_soil_c": "sow when soil has", "soil_min_c": "soil from",
    "sow_below_c": "sow below mean of", "too_early_weeks": "too early before frost by more than",
    "hand_ease": "ease of ending by hand", "biomass_t_ha": "dry matter",
}
_MARKS: Final = {"published": "", "memory": "from memory", "judgement": "our judgement"}


def plant_text(knowledge: Knowledge, name: str | None) -> str:
    """All plants, or what is known of one (as crop and as cover where it is both).

    Raises:
        LookupError: no plant has this name; the argument says so, with a suggestion.
    """
    if name is None:
        return "\n".join([*_listed("crops", (crop.names for crop in knowledge.crops.values())), "",
                          *_listed("covers", (cover.names for cover in knowledge.covers.values()))])
    return "\n\n".join("\n".join(_plant_lines(plant, knowledge.sources)) for plant in _found(knowledge, name))


def plant_data(knowledge: Knowledge, name: str | None) -> dict[str, Any]:
    """The same as data for JSON. See ``plant_text``."""
    if name is None:
        plants: tuple[Crop | Cover, ...] = (*knowledge.crops.values(), *knowledge.covers.values())
        return {"format": 1, "plants": [{"id": plant.id, "is": _kind(plant), "name": plant.names.name,
                                         "botanical": plant.names.botanical, "also": list(plant.names.also)}
                                        for plant in plants]}
    found = _found(knowledge, name)
    used = {source for plant in found for _, value in plant_values(plant) for source in value.sources}
    return {"format": 1, "plants": [_plant_data(plant) for plant in found],
            "sources": {id_: _source_line(knowledge.sources[id_]) for id_ in sorted(used)}}


def value_counts_text(knowledge: Knowledge) -> str:
    """How many values are published, from memory and our own, by kind of data; and how many sources were read."""
    counts: dict[str, Counter[str]] = {}
    for path, value in knowledge_values(knowledge):
        counts.setdefault(path[0], Counter())[value.mark] += 1
    lines = [f"{'':<10} {'published':>10} {'memory':>8} {'judgement':>10} {'all':>7}"]
    for kind, marks in [*counts.items(), ("together", sum(counts.values(), Counter()))]:
        lines.append(f"{kind:<10} {marks['published']:>10} {marks['memory']:>8} {marks['judgement']:>10} "
                     f"{marks.total():>7}")
    seen = Counter(knowledge.sources[id_].seen for id_ in used_sources(knowledge))
    lines.append(f"sources: {seen['read']} read, {seen['mixed']} read in part, {seen['memory']} from memory")
    return "\n".join(lines)


def _found(knowledge: Knowledge, name: str) -> tuple[Crop | Cover, ...]:
    wanted = folded(name)
    plants: tuple[Crop | Cover, ...] = (*knowledge.crops.values(), *knowledge.covers.values())
    found = [plant for plant in plants
             if {folded(word) for word in (plant.id, plant.names.name, plant.names.botanical, *plant.names.also)}
             & {*singulars(wanted)}]
    if found:
        return tuple(found)
    near = nearest(wanted, knowledge.by_name)
    advice = f'did you mean "{near}"?' if near else "calgen plants lists all"
    raise LookupError(f'"{name}" is no plant known here; {advice}')


def _listed(title: str, names: Iterable[Names]) -> list[str]:
    lines = [f"{title}:"]
    for one in sorted(names, key=lambda names: names.name):
        lines += wrap(f"{one.name} ({one.botanical})" + (f": {', '.join(one.also)}" if one.also else ""), WIDTH,
                      initial_indent="  ", subsequent_indent="      ")
    return lines


def _plant_lines(plant: Crop | Cover, sources: Mapping[str, Source]) -> list[str]:
    names = plant.names
    lines = [f"{names.name} ({names.botanical}), {_kind(plant)}, {plant.family}"]
    if names.also:
        lines += _wrapped(f"also called: {', '.join(names.also)}")
    notes: list[str] = []
    for field, found in groupby(plant_values(plant), key=lambda item: item[0][0]):
        values = list(found)
        if field in ("notes", "cautions"):
            notes += [line for _, value in values for line in _wrapped(f"{field[:-1]}: {_words(value)}")]
        elif len(values[0][0]) == 1:
            lines += _wrapped(f"{_label(field)}: {_words(values[0][1])}")
        else:
            lines += _table(field, values)
    if isinstance(plant, Crop):
        may = "possible" if plant.undersow.possible else "no"
        lines += _wrapped(f"undersowing: {may}. {plant.undersow.note} [{', '.join(plant.undersow.sources)}]")
    used = sorted({source for _, value in plant_values(plant) for source in value.sources} - {"own"})
    return [*lines, *notes, "sources:", *(line for id_ in used for line in _wrapped(
        f"[{id_}] {_source_line(sources[id_])}"))]


def _wrapped(text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent="  ", subsequent_indent="      ")


def _table(field: str, values: list[tuple[tuple[str, ...], Sourced]]) -> list[str]:
    """A table's cells; what they have in common is told once."""
    lines = []
    for told, cells in groupby(sorted(values, key=lambda item: _told(item[1])), key=lambda item: _told(item[1])):
        shown = ", ".join(f"{re.sub('[-_]', ' ', path[-1])}{_between(value)}{_amount(value)}" for path, value in cells)
        lines += _wrapped(f"{_label(field)}: {shown}{told}")
    return lines


def _between(value: Sourced) -> str:
    return ": " if isinstance(value, Words) else " "


def _label(field: str) -> str:
    return _LABELS.get(field) or _UNIT_ENDINGS.sub("", field).replace("_", " ")


def _words(value: Sourced) -> str:
    return f"{_amount(value)}{_told(value)}"


def _amount(value: Sourced) -> str:
    if isinstance(value, Words):
        return value.text
    numbers = f"{value.low:g}" if value.low == value.high else f"{value.low:g} to {value.high:g}"
    return f"{numbers} {_UNITS.get(value.unit, value.unit)}".strip()


def _told(value: Sourced) -> str:
    words = [_MARKS[value.mark]] if _MARKS[value.mark] else []
    if isinstance(value, Quantity):
        words += [f"printed: {value.quoted}"] if value.quoted else []
        words += [value.why] if value.why else []
    origin = ", ".join(source for source in value.sources if source != "own")
    return (f" ({'; '.join(words)})" if words else "") + (f" [{origin}]" if origin else "")


def _source_line(source: Source) -> str:
    parts = [source.author, source.title, source.year or "", source.reference or "",
             {"read": "", "mixed": "read in part", "memory": "from memory", "own": ""}[source.seen]]
    return ". ".join(part.rstrip(".") for part in parts if part)


def _kind(plant: Crop | Cover) -> str:
    return "cover" if isinstance(plant, Cover) else "crop"


def _plant_data(plant: Crop | Cover) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for path, value in plant_values(plant):
        inner = values
        for part in path[:-1]:
            inner = inner.setdefault(part, {})
        inner[path[-1]] = _value_data(value)
    names = plant.names
    return {"id": plant.id, "is": _kind(plant), "name": names.name, "botanical": names.botanical,
            "also": list(names.also), "family": plant.family, "values": values}


def _value_data(value: Sourced) -> dict[str, Any]:
    if isinstance(value, Words):
        return {"text": value.text, "sources": list(value.sources), "mark": value.mark}
    told = {"low": value.low, "high": value.high, "unit": value.unit, "sources": list(value.sources),
            "mark": value.mark, "at": value.at, "quoted": value.quoted, "why": value.why}
    return {key: part for key, part in told.items() if part is not None}
