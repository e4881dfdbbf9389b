"""Adds the grower's own crops and covers to what is known; one with the id of a shipped plant takes its place.

They are written as the shipped ones are, with the same units, bounds and sources; ``source: own`` needs a ``why``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from calgen.knowledge import cover_file, crop_file
from calgen.knowledge.model import Cover
from calgen.knowledge.names import folded, name_index

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from calgen.knowledge.model import Crop, Knowledge, Names
    from calgen.problems import Faults
    from calgen.yamlfile import Mapping as Keys

CROP_KEYS: Final = frozenset({"rotation-group", "feeding", "hardiness", "methods", "maturity-days", "counted-from"})
COVER_KEYS: Final = frozenset({"kind", "life", "seasons", "establish-dd", "ends", "ratings"})


def with_own(knowledge: Knowledge, plants: Iterable[Keys], faults: Faults) -> Knowledge:
    """What is known, with the grower's plants.

    Args:
        plants: keys and values of a crop or cover each, in the form of the shipped data files.
        faults: what is wrong is added here.

    Raises:
        InputError: with every fault of these plants.
    """
    crops, covers = dict(knowledge.crops), dict(knowledge.covers)
    own: dict[tuple[str, str], Keys] = {}
    for keys in plants:
        found = _plant(keys, knowledge, faults)
        if found is None:
            continue
        kind = "cover" if isinstance(found, Cover) else "crop"
        if (kind, found.id) in own:
            faults.add(keys.place, _where(keys), f'the {kind} "{found.id}" is given twice (first in '
                                                 f'{own[kind, found.id].place}); leave one out')
            continue
        own[kind, found.id] = keys
        if isinstance(found, Cover):
            covers[found.id] = found
        else:
            crops[found.id] = found
    everyone = [*(crop.names for crop in crops.values()), *(cover.names for cover in covers.values())]
    for (kind, id_), keys in own.items():
        same_kind: Mapping[str, Crop | Cover] = covers if kind == "cover" else crops
        _check_names(keys, kind, same_kind[id_].names, same_kind)
        _check_code(keys, same_kind[id_].names, everyone)
    faults.stop_if_any()
    by_name = name_index(everyone)
    return replace(knowledge, crops=crops, covers=covers, by_name=by_name)


def _plant(keys: Keys, knowledge: Knowledge, faults: Faults) -> Crop | Cover | None:
    crop, cover = (len(known & keys.entries.keys()) for known in (CROP_KEYS, COVER_KEYS))
    if crop == cover:
        faults.add(keys.place, _where(keys), "is neither crop nor cover; a crop has methods and maturity-days, a cover "
                                             "kind, seasons and ends")
        return None
    read = crop_file.crop if crop > cover else cover_file.cover
    return read(keys, knowledge.sources)


def _check_names(keys: Keys, kind: str, names: Names, plants: Mapping[str, Crop | Cover]) -> None:
    """No name of an own plant stands for another of its kind; botanical names may be shared."""
    taken = {folded(name): other for id_, other in plants.items() if id_ != names.id
             for name in (id_, other.names.name, other.names.short, *other.names.also)}
    for key, words in (("id", (names.id,)), ("name", (names.name,)), ("short", (names.short,)), ("also", names.also)):
        for word in words:
            if folded(word) in taken and (node := keys.get(key)):
                node.fault(f'"{word}" already stands for the {kind} {taken[folded(word)].names.name}; '
                           f'choose another name, or the id "{taken[folded(word)].id}" to take its place')


def _check_code(keys: Keys, names: Names, everyone: Iterable[Names]) -> None:
    taken = next((one for one in everyone if one.code == names.code and one.id != names.id), None)
    if taken and (node := keys.get("code")):
        node.fault(f'"{names.code}" already stands for {taken.name}; choose another code')


def _where(keys: Keys) -> str:
    return keys.node.where
