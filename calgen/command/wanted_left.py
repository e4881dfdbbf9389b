"""What is still wanted in the year after: the list less the crops that were put into beds by then."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeGuard

import yaml

from calgen.command.step_lines import plant_text
from calgen.problems import Faults
from calgen.site.model import CropStep
from calgen.yamlfile import compose

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.command.load import Desk
    from calgen.site.model import Step

NOTHING = "# wanted: all have their beds; list anew what you want where orders say crop: choose"


def is_left(step: Step, found: Desk) -> TypeGuard[CropStep]:
    """Whether a step's crop was chosen by calgen alone, not told by the diary."""
    return isinstance(step, CropStep) and step.choose and step.place in _open_places(found)


def with_wanted(data: bytes, found: Desk) -> bytes:
    """The file with the crops that stand in beds by the end of the chart taken off the list; the rest as it is."""
    if not found.site.wanted:
        return data
    left = {wish.plant: wish.beds for wish in found.site.wanted}
    for plant in _put_in(found):
        if plant in left:
            left[plant] -= 1
    entries = [f"{_name(plant, found)} {beds} bed{'s' if beds > 1 else ''}"
               for plant, beds in left.items() if beds > 0]
    top = compose(data, str(found.path), Faults()).node.raw
    key, value = next((key, value) for key, value in top.value if key.value == "wanted")
    bom = data[:3] if data.startswith(b"\xef\xbb\xbf") else b""
    text = data[len(bom):].decode("utf-8")
    new = f"wanted: [{', '.join(entries)}]" if entries else NOTHING
    return bom + (text[:key.start_mark.index] + new + text[_end(value):]).encode("utf-8")


def _name(plant: str, found: Desk) -> str:
    """The crop's name, or its id where the name needs quotes."""
    name = plant_text(plant, found.knowledge)
    return name if name[0].isalpha() else plant


def _put_in(found: Desk) -> Iterator[str]:
    """Crops in places left to choose that begin before the chart ends, or that the diary tells of."""
    begun = {id(piece.step) for bed in found.plan.beds for piece in bed.pieces
             if piece.kind == "crop" and piece.start < found.plan.end}
    for bed in found.plan.beds:
        for step in bed.bed.order:
            if isinstance(step, CropStep) and step.choose and (id(step) in begun or not is_left(step, found)):
                yield step.plant


def _open_places(found: Desk) -> set[object]:
    return {step.place for bed in found.site.beds for step in bed.order if isinstance(step, CropStep) and step.is_open}


def _end(node: Any) -> int:
    """Where a value's text ends; a block's own mark lies behind the remarks that follow it."""
    if isinstance(node, yaml.ScalarNode) or node.flow_style:
        return int(node.end_mark.index)
    last = node.value[-1]
    return _end(last[1] if isinstance(last, tuple) else last)
