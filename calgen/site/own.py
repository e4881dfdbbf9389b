"""The grower's own plants, as a site file names them: before its beds are read, since they speak of these plants."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from calgen.problems import Faults
from calgen.yamlfile import Node, compose

if TYPE_CHECKING:
    from collections.abc import Iterator

KEY: Final = "plants"


def own_plants(data: bytes, file: str, faults: Faults) -> Iterator[Node]:
    """The elements under ``plants``: each the name of a file, or a plant written out as keys and values.

    Args:
        data: the bytes of the site file. [UTF-8]
        file: its name as the grower knows it, for places.
        faults: collects what is wrong with these elements; other faults of the file are left to ``read_site``.

    Raises:
        InputError: the file is no YAML mapping.
    """
    if KEY.encode() not in data:
        return
    found = compose(data, file, Faults()).get(KEY)
    if found is not None:
        for element in Node(found.raw, found.place, found.path, faults).elements():
            if element.is_mapping or element.text() is not None:
                yield element
