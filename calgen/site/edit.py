"""Changes one value in the text of a site file; every other byte (comments, order, spacing) stays as it is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import yaml

from calgen.yamlfile import compose

if TYPE_CHECKING:
    from calgen.problems import Faults


def with_value(data: bytes, file: str, path: tuple[str, ...], value: str, faults: Faults) -> bytes:
    """The file's bytes with the plain value under a path of keys replaced.

    Args:
        data: the site file. [UTF-8]
        path: keys that lead to the value, such as ``("frost", "last")``.
        value: the new text, written as it is.

    Raises:
        InputError: the file is no YAML mapping, or no single value stands under the path.
    """
    top = compose(data, file, faults)
    node: Any = top.node.raw
    place = top.place
    for depth, key in enumerate(path):
        inner = next((value_node for key_node, value_node in node.value if key_node.value == key), None) \
            if isinstance(node, yaml.MappingNode) else None
        if inner is None:
            faults.add(place, ": ".join(path[:depth]), f'"{key}" is missing; add it by hand first')
            faults.stop_if_any()
        node = inner
    if not isinstance(node, yaml.ScalarNode) or node.start_mark.index == node.end_mark.index:
        faults.add(place, ": ".join(path), "has no single value; write it by hand first")
        faults.stop_if_any()
    if node.style in ("|", ">"):
        faults.add(place, ": ".join(path), "stands over several lines; write it on one, by hand")
        faults.stop_if_any()
    bom = data[:3] if data.startswith(b"\xef\xbb\xbf") else b""
    text = data[len(bom):].decode("utf-8")
    start, end = node.start_mark.index, node.end_mark.index
    return bom + (text[:start] + value + text[end:]).encode("utf-8")
