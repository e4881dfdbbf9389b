"""Steps of an order as lines of a site file, each step a list of ``key: value``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.command.plain import plain
from calgen.knowledge.names import plant_names
from calgen.site.model import CoverStep, CropStep, MulchStep

if TYPE_CHECKING:
    from datetime import date

    from calgen.knowledge.model import Knowledge
    from calgen.site.model import Step

METHODS = {"direct": "direct", "transplant": "transplant", "plant": "sets"}


def plant_text(plant: str, knowledge: Knowledge) -> str:
    """A plant's name, as long as a site file reads it as that plant where anything grown may stand; else its id."""
    known = knowledge.crops.get(plant) or knowledge.covers.get(plant)
    for text in (known.names.name, *known.names.also) if known else ():
        try:
            if plant_names(knowledge).grown(text) == plant:
                return plain(text)
        except ValueError:
            continue
    return plain(plant)


def to_come(step: Step, knowledge: Knowledge, *, after_crop: bool) -> list[str]:
    """A step that has not begun, as the grower wrote it."""
    if isinstance(step, MulchStep):
        return [f"mulch: {plain(knowledge.mulches[step.material].names.name)}"]
    if isinstance(step, CoverStep):
        how = [f"how: {step.how}"] if step.how and (after_crop or step.how == "cleared") else []
        return [cover_text(step.covers, knowledge), *how, *_lines(step, ("save_seed",), knowledge)]
    among = ["among: yes"] if step.among and after_crop else []
    method = [f"start: {METHODS[step.method]}"] if step.method else []
    return [f"crop: {plant_text(step.plant, knowledge)}", *among, *method,
            *_lines(step, ("sown", "planted", "ready", "cleared", "sow_by", "plant_by", "days", "companion",
                           "save_seed"), knowledge)]


def to_choose(step: CropStep) -> list[str]:
    """A place whose crop is left to calgen, as the grower wrote it."""
    return ["crop: choose", *(f"{key}: {day}" for key, day in (("sow-by", step.sow_by), ("plant-by", step.plant_by))
                              if day)]


def standing(step: Step, plants: tuple[str, ...], begun: date, key: str, real: bool, knowledge: Knowledge) -> list[str]:
    """A step that stands, with the day it began; ``real`` tells whether the grower gave that day.

    Args:
        key: "sown", "planted" or "laid".
    """
    day = f"{key}: {begun.isoformat()}" + ("" if real else "       # planned")
    if isinstance(step, MulchStep):
        return [f"mulch: {plain(knowledge.mulches[step.material].names.name)}", day]
    if isinstance(step, CoverStep):
        return [cover_text(plants, knowledge), day, *_lines(step, ("cut", "save_seed"), knowledge)]
    return [f"crop: {plant_text(step.plant, knowledge)}", day,
            *_lines(step, ("ready", "cleared", "days", "companion", "save_seed"), knowledge)]


def cover_text(covers: tuple[str, ...], knowledge: Knowledge) -> str:
    """The line of a cover, of a mixture as a list, or of one left to calgen."""
    names = [plain(_cover_name(cover, knowledge)) for cover in covers]
    return f"cover: {names[0] if len(names) == 1 else '[' + ', '.join(names) + ']'}" if names else "cover: choose"


def _cover_name(cover: str, knowledge: Knowledge) -> str:
    name = knowledge.covers[cover].names.name
    return name if plant_names(knowledge).covers.get(name.casefold()) == cover else cover


def _lines(step: CropStep | CoverStep, keys: tuple[str, ...], knowledge: Knowledge) -> list[str]:
    found = []
    for key in keys:
        value = getattr(step, key)
        if value is None or value is False:
            continue
        word = "with" if key == "companion" else key.replace("_", "-")
        text = "yes" if value is True else plain(_cover_name(value, knowledge)) if key == "companion" else str(value)
        found.append(f"{word}: {text}")
    return found
