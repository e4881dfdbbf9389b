"""Reads everything that is known from the package's data files: the only module of this stage that opens files."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from calgen.kept import kept
from calgen.knowledge.model import Knowledge
from calgen.problems import Faults
from calgen.yamlfile import compose

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.knowledge.model import Cover, Crop, Source
    from calgen.yamlfile import Mapping as Keys


HERE: Final = Path(__file__).parent
DATA: Final = HERE / "data"


@lru_cache(maxsize=1)
def read_knowledge() -> Knowledge:
    """All crops, covers, mixtures, mulches, pairings, practice and sources that ship with calgen.

    Raises:
        InputError: with every fault of the data files.
    """
    return kept("knowledge", Knowledge, (*DATA.rglob("*.yaml"), *HERE.glob("*.py")), lambda: _read(DATA))


def _read(data: Path) -> Knowledge:
    from calgen.knowledge import cover_file, crop_file  # noqa: PLC0415  seldom needed: what was read is kept
    from calgen.knowledge.names import name_index  # noqa: PLC0415
    from calgen.knowledge.pairing_file import pairings  # noqa: PLC0415
    from calgen.knowledge.practice_file import mixtures, mulches, practice, sources  # noqa: PLC0415

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
    from calgen.knowledge import crop_file  # noqa: PLC0415

    faults = Faults()
    found = crop_file.crop(compose(content, file, faults), known)
    faults.stop_if_any()
    assert found is not None
    return found


def read_cover_file(content: bytes, file: str, known: Mapping[str, Source]) -> Cover:
    """A cover from the bytes of a file, a grower's own for instance. See ``read_crop_file``."""
    from calgen.knowledge import cover_file  # noqa: PLC0415

    faults = Faults()
    found = cover_file.cover(compose(content, file, faults), known)
    faults.stop_if_any()
    assert found is not None
    return found


def _keys(path: Path, faults: Faults) -> Keys:
    return compose(path.read_bytes(), path.name, faults)


def _yaml_files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.yaml"))
