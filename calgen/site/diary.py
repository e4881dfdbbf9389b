"""The diary (``NAME.diary.yaml`` beside the site file): what was really done, and a site's orders with it written in.

    diary:
      - {on: 2026-09-12, bed: Gate bed, done: sown, plant: white mustard, note: dry seedbed}

Append-only for calgen, free to edit by hand. The chain is planned again from the orders as the diary leaves them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from calgen.problems import Faults
from calgen.site import convert
from calgen.site.model import DOINGS, CoverStep, CropStep, Doing, MulchStep
from calgen.yamlfile import compose, nearest

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.site.model import Site, Step
    from calgen.site.read import Names
    from calgen.yamlfile import Node

MULCHED_WITH = "straw"


def read_diary(data: bytes, file: str, site: Site, names: Names) -> tuple[Doing, ...]:
    """The entries of a diary, in order of date.

    Raises:
        InputError: with every fault, its line and column.
    """
    faults = Faults()
    top = compose(data, file, faults)
    node = top.need("diary")
    found = [] if node is None or node.is_empty else [_doing(element, site, names)
                                                      for element in node.elements(single=False)]
    top.finish()
    faults.stop_if_any()
    return tuple(sorted(found, key=lambda doing: (doing.on, doing.place)))


def _doing(node: Node, site: Site, names: Names) -> Doing:
    keys = node.mapping()
    beds = {bed.name.casefold(): bed.name for bed in site.beds}

    def bed(text: str) -> str:
        known = beds.get(" ".join(text.split()).casefold())
        if known is None:
            near = nearest(text, beds)
            raise ValueError("is no bed of this site; " + (f'did you mean "{beds[near]}"?' if near else
                                                          f"beds: {', '.join(beds.values())}"))
        return known

    doing = Doing(on=keys.scalar("on", convert.full_date), bed=keys.scalar("bed", bed, ""),
                  done=keys.scalar("done", convert.one_of(*DOINGS)), plants=keys.items("plant", names.grown),
                  note=keys.scalar("note", convert.name_text, ""), place=keys.place)
    keys.finish()
    return doing


def with_diary(site: Site, diary: Iterable[Doing]) -> Site:
    """The site with what was done written into the orders of its beds, and the diary kept beside."""
    entries = tuple(diary)
    beds = []
    for bed in site.beds:
        steps = list(bed.order)
        for doing in entries:
            if doing.bed == bed.name:
                steps = _after(steps, doing)
        beds.append(replace(bed, order=tuple(steps)))
    return replace(site, beds=tuple(beds), diary=entries)


def _after(steps: list[Step], doing: Doing) -> list[Step]:
    for index, step in enumerate(steps):
        changed = _changed(step, doing, steps[index + 1:])
        if changed is not None:
            return [*steps[:index], changed, *steps[index + 1:]]
    return steps


def _changed(step: Step, doing: Doing, rest: list[Step]) -> Step | None:
    """The step as this doing leaves it; None when the doing is about another step."""
    if isinstance(step, CropStep):
        return _changed_crop(step, doing)
    if isinstance(step, CoverStep):
        return _changed_cover(step, doing)
    if doing.done == "mulched" and step.laid is None:
        return replace(step, laid=doing.on)
    return None


def _changed_crop(step: CropStep, doing: Doing) -> CropStep | None:
    if doing.plants and step.plant not in doing.plants:
        return None
    if doing.done == "cleared" and (step.cleared is None or step.cleared >= doing.on or doing.plants):
        return replace(step, cleared=doing.on, ready=step.ready if step.ready and step.ready < doing.on else None)
    if doing.plants and doing.done == "planted":
        return replace(step, planted=doing.on, plant_by=None, sow_by=None)
    if doing.plants and doing.done == "sown" and step.planted is None:
        return replace(step, sown=doing.on, plant_by=None, sow_by=None)
    if doing.plants and doing.done == "sown-indoors" and step.planted is None:
        return replace(step, method="transplant")
    return None


def _changed_cover(step: CoverStep, doing: Doing) -> Step | None:
    if step.cut and doing.done != "cut":
        return None
    if doing.done == "sown" and (step.choose or not doing.plants or set(doing.plants) == set(step.covers)):
        return replace(step, covers=doing.plants or step.covers, sown=doing.on)
    if doing.done == "failed" and step.sown:
        return replace(step, covers=(), sown=None, how=None, failed=(*step.failed, *step.covers),
                       not_before=doing.on)
    if doing.done == "cut" and step.sown:
        return replace(step, cut=doing.on)
    if doing.done == "mulched" and not step.sown:
        return MulchStep(MULCHED_WITH, step.place, doing.on)
    return None


def diary_line(doing: Doing) -> str:
    """The entry as a line of the diary file, names quoted so that any script and sign is safe."""
    parts = [f"on: {doing.on.isoformat()}", f"bed: {_quoted(doing.bed)}", f"done: {doing.done}"]
    if doing.plants:
        parts.append(f"plant: [{', '.join(doing.plants)}]")
    if doing.note:
        parts.append(f"note: {_quoted(doing.note)}")
    return "  - {" + ", ".join(parts) + "}\n"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
