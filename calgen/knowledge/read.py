"""Reads everything that is known from the package's data files: the only module of this stage that opens files."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING

from calgen.knowledge import cover_file, crop_file
from calgen.knowledge.kept import keep_knowledge, kept_file, kept_knowledge
from calgen.knowledge.model import Knowledge
from calgen.knowledge.names import name_index
from calgen.knowledge.pairing_file import pairings
from calgen.knowledge.practice_file import mixtures, mulches, practice, sources
from calgen.problems import Faults
from calgen.yamlfile import compose

if TYPE_CHECKING:
    from collections.abc import Mapping
    from importlib.resources.abc import Traversable

    from calgen.knowledge.model import Cover, Crop, Source
    from calgen.yamlfile import Mapping as Keys


@lru_cache(maxsize=1)
def read_knowledge() -> Knowledge:
    """All crops, covers, mixtures, mulches, pairings, practice and sources that ship with calgen.

    Raises:
        InputError: with every fault of the data files.
    """
    data = files("calgen.knowledge") / "data"
    paths = [path for folder in (data, data / "crops", data / "covers") for path in _yaml_files(folder)]
    kept = kept_file(paths)
    return kept_knowledge(kept) or keep_knowledge(kept, _read(data))


def _read(data: Traversable) -> Knowledge:
    faults = Faults()
    known: dict[str, Source] = {}
    for name in ("sources.yaml", "sources-crops.yaml"):
        known |= sources(_keys(data / name, faults), known)
    crops = {crop.id: crop for path in _yaml_files(data / "crops")
             if (crop := crop_file.crop(_keys(path, faults), known))}
    covers = {cover.id: cover for path in _yaml_files(data / "covers")
              if (cover := cover_file.cover(_keys(path, faults), known))}
    mixed = mixtures(_keys(data / "mixtures.yaml", faults), known, covers)
    laid = mulches(_keys(data / "mulches.yaml", faults), known)
    numbers = {key: value for name in ("practice.yaml", "choice.yaml", "crop-choice.yaml")
               for key, value in practice(_keys(data / name, faults), known).items()}
    paired = pairings(_keys(data / "pairings.yaml", faults), known, crops, covers)
    faults.stop_if_any()
    by_name = name_index([crop.names for crop in crops.values()] + [cover.names for cover in covers.values()])
    return Knowledge(crops, covers, mixed, laid, numbers, known, by_name, paired)


def read_crop_file(content: bytes, file: str, known: Mapping[str, Source]) -> Crop:
    """A crop from the bytes of a file, a grower's own for instance.

    Args:
        content: the file's text. [UTF-8]
        file: the name to show in places.
        known: sources by id; ``own`` is among those that ship with calgen.

    Raises:
        InputError: with every fault of the file.
    """
    faults = Faults()
    found = crop_file.crop(compose(content, file, faults), known)
    faults.stop_if_any()
    assert found is not None
    return found


def read_cover_file(content: bytes, file: str, known: Mapping[str, Source]) -> Cover:
    """A cover from the bytes of a file, a grower's own for instance. See ``read_crop_file``."""
    faults = Faults()
    found = cover_file.cover(compose(content, file, faults), known)
    faults.stop_if_any()
    assert found is not None
    return found


def _keys(path: Traversable, faults: Faults) -> Keys:
    return compose(path.read_bytes(), path.name, faults)


def _yaml_files(folder: Traversable) -> list[Traversable]:
    return sorted((path for path in folder.iterdir() if path.name.endswith(".yaml")), key=lambda path: path.name)
