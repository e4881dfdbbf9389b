"""Finds plants by any of their names, with a suggestion for a near miss. Used while a site file is read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from calgen.yamlfile import nearest

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from calgen.knowledge.model import Cover, Crop, Knowledge, Names


def folded(name: str) -> str:
    """A name without case, hyphens and double spaces, as the index of names has it."""
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


def name_index(plants: Iterable[Names]) -> dict[str, str]:
    """Every name of the plants, folded, with the id it stands for; ids and names go before other names."""
    index: dict[str, str] = {}
    listed = list(plants)
    for names in listed:
        for name in (names.id, names.name):
            index.setdefault(folded(name), names.id)
    for names in listed:
        for name in (*names.also, names.botanical, names.short):
            index.setdefault(folded(name), names.id)
    return index


class PlantNames(Struct, frozen=True):
    """The names of all plants; each method gives an id or raises ``ValueError`` with the end of a sentence.

    A plural is as good as the name. ``clipped`` names, made for narrow bars, are known but not suggested.
    """

    crops: Mapping[str, str]
    covers: Mapping[str, str]
    mulches: Mapping[str, str]
    clipped: frozenset[str] = frozenset()

    def crop(self, text: str) -> str:
        """The id of a crop."""
        return _one(text, "crop", self.crops, "cover", self.covers, self.clipped)

    def cover(self, text: str) -> str:
        """The id of a cover."""
        return _one(text, "cover", self.covers, "crop", self.crops, self.clipped)

    def grown(self, text: str) -> str:
        """The id of a crop, or of a cover, that stood in a bed."""
        found = self.all_named(text)
        return found[0] if found else self.crop(text)

    def all_named(self, text: str) -> tuple[str, ...]:
        """The id of the crop and that of the cover of this name, as far as there are such."""
        found = (_known(text, self.crops), _known(text, self.covers))
        return tuple(id_ for id_ in found if id_)

    def mulch(self, text: str) -> str:
        """The id of a mulch."""
        return _one(text, "mulch", self.mulches, "mulch", {})


def plant_names(knowledge: Knowledge) -> PlantNames:
    """The names of everything known."""
    return PlantNames(name_index(crop.names for crop in knowledge.crops.values()),
                      name_index(cover.names for cover in knowledge.covers.values()),
                      name_index(mulch.names for mulch in knowledge.mulches.values()),
                      _clipped((*knowledge.crops.values(), *knowledge.covers.values())))


def _clipped(plants: Iterable[Crop | Cover]) -> frozenset[str]:
    """Short names that nobody would write: those that are no other name of any plant."""
    listed = [plant.names for plant in plants]
    written = {folded(name) for names in listed for name in (names.id, names.name, *names.also, names.botanical)}
    return frozenset({folded(names.short) for names in listed} - written)


def singulars(name: str) -> Iterator[str]:
    """A folded name as it stands, then without the endings of a plural: ``onions``, ``radishes``, ``cherries``."""
    yield name
    for ending, single in (("s", ""), ("es", ""), ("ies", "y")):
        if name.endswith(ending) and len(name) > len(ending) + 2:
            yield name.removesuffix(ending) + single


def _known(text: str, index: Mapping[str, str]) -> str | None:
    return next((index[name] for name in singulars(folded(text)) if name in index), None)


def _one(text: str, what: str, index: Mapping[str, str], other: str, others: Mapping[str, str],
         clipped: frozenset[str] = frozenset()) -> str:
    if found := _known(text, index):
        return found
    wanted = folded(text)
    if _known(text, others):
        raise ValueError(f"is a {other}, no {what}; write {other}: {text}")
    holding = sorted({index[name].replace("-", " ") for name in index if wanted in name.split()})
    if holding:
        raise ValueError(f"can be several {what}s; write one of: {', '.join(holding)}")
    near = nearest(wanted, (name for name in index if name not in clipped))
    if near:
        raise ValueError(f'is no {what} known here; did you mean "{near}"?')
    known = f"known: {', '.join(sorted(set(index.values())))}" if len(set(index.values())) < 15 \
        else "calgen plants lists all"
    raise ValueError(f"is no {what} known here; {known}")
