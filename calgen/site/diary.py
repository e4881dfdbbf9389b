"""The diary (``NAME.diary.yaml`` beside the site file): what was really done, and a site's orders with it written in.

    diary:
      - {on: 2026-09-12, bed: Gate bed, done: sown, plant: white mustard, note: dry seedbed}

Append-only for calgen, free to edit by hand. The chain is planned again from the orders as the diary leaves them.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from msgspec.structs import replace

from calgen.problems import Faults
from calgen.site import convert
from calgen.site.model import DOINGS, CoverStep, CropStep, Doing, MulchStep
from calgen.yamlfile import compose, nearest

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from calgen.site.model import Bed, Site, Step, Wanted
    from calgen.site.read import Names
    from calgen.yamlfile import Node

MULCHED_WITH = "straw"
DECIDES = ("sown-indoors", "sown", "planted", "cleared")
"""What is done to a crop that tells which one was taken where the order left it to be chosen."""
SAME_EVENT = timedelta(92)
"""A date that a doing may correct lies within a season of it. Judgement."""


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
    beds = {" ".join(bed.name.split()).casefold(): bed for bed in site.beds}

    def bed(text: str) -> str:
        known = beds.get(" ".join(text.split()).casefold())
        if known is None:
            near = nearest(" ".join(text.split()).casefold(), beds)
            raise ValueError("is no bed of this site; " + (f'did you mean "{beds[near].name}"?' if near else
                                                          f"beds: {', '.join(bed.name for bed in site.beds)}"))
        return known.name

    on = keys.scalar("on", convert.full_date)
    where = keys.scalar("bed", bed, "")
    done = keys.scalar("done", convert.one_of(*DOINGS))
    chosen = next((known for known in site.beds if known.name == where), None)
    plants = keys.items("plant", lambda text: plant_done(text, chosen, names, site.wanted))
    doing = Doing(on=on, bed=where, done=done, plants=plants,
                  note=keys.scalar("note", convert.name_text, ""), place=keys.place)
    if "bed" not in keys and done in DOINGS and done != "ordered":
        node.fault(f'the bed is missing; add "bed: {site.beds[0].name}" (only "ordered" goes without)')
    keys.finish()
    return doing


def plant_done(text: str, bed: Bed | None, names: Names, wanted: Iterable[Wanted] = ()) -> str:
    """The id of a plant in a diary entry: a crop of the bed's order, else a cover.

    Args:
        wanted: crops that may stand where the order leaves the crop to be chosen.

    Raises:
        ValueError: it is neither, with the end of the sentence.
    """
    try:
        crop = names.grown(text)
    except ValueError as error:
        if "did you mean" in str(error):
            raise
        return names.cover(text)
    if bed is None or any(isinstance(step, CropStep) and step.plant == crop for step in bed.order):
        return crop
    leaves_open = any(isinstance(step, CropStep) and step.choose for step in bed.order)
    if leaves_open and any(one.plant == crop for one in wanted):
        return crop
    try:
        return names.cover(text)
    except ValueError:
        raise ValueError(f'is not in the order of bed "{bed.name}"; add "- crop: {text}" to it first'
                         + (", or to wanted" if leaves_open else "")) from None


def with_diary(site: Site, diary: Iterable[Doing]) -> Site:
    """The site with what was done written into the orders of its beds, and the diary kept beside."""
    entries = tuple(diary)
    beds = []
    for bed in site.beds:
        steps = list(bed.order)
        for doing in entries:
            if doing.bed == bed.name:
                steps = _after(_decided(steps, doing, site.wanted), doing)
        beds.append(replace(bed, order=tuple(steps)))
    return replace(site, beds=tuple(beds), diary=entries, as_written=site.beds)


def _decided(steps: list[Step], doing: Doing, wanted: Iterable[Wanted]) -> list[Step]:
    """The steps with the crop written in that was put where the order left it to be chosen."""
    if doing.done not in DECIDES or any(isinstance(step, CropStep) and step.plant in doing.plants
                                        and _changed_crop(step, doing) for step in steps):
        return steps
    crop = next((one.plant for one in wanted if one.plant in doing.plants), None)
    for index, step in enumerate(steps):
        if crop and isinstance(step, CropStep) and step.is_open:
            return [*steps[:index], replace(step, plant=crop), *steps[index + 1:]]
    return steps


def _after(steps: list[Step], doing: Doing) -> list[Step]:
    of_crop = any(isinstance(step, CropStep) and step.plant in doing.plants for step in steps)
    for index, step in enumerate(steps):
        if of_crop and not isinstance(step, CropStep):
            continue
        changed = _changed(step, doing)
        if changed is not None:
            return [*steps[:index], changed, *steps[index + 1:]]
    return steps


def _changed(step: Step, doing: Doing) -> Step | None:
    """The step as this doing leaves it; None when the doing is about another step."""
    if isinstance(step, CropStep):
        return _changed_crop(step, doing)
    if isinstance(step, CoverStep):
        return _changed_cover(step, doing)
    if doing.done == "mulched" and _near(step.laid, doing.on):
        return replace(step, laid=doing.on)
    return None


def _changed_crop(step: CropStep, doing: Doing) -> CropStep | None:  # noqa: PLR0911  one line for each doing
    if doing.plants and step.plant not in doing.plants:
        return None
    if doing.done == "cleared" and _near(step.cleared, doing.on):
        return replace(step, cleared=doing.on, ready=step.ready if step.ready and step.ready < doing.on else None)
    if step.cleared and step.cleared < doing.on:
        return None
    if doing.plants and doing.done == "planted" and _near(step.planted, doing.on):
        return replace(step, planted=doing.on, plant_by=None, sow_by=None)
    if doing.plants and doing.done == "sown" and step.planted is None and _near(step.sown, doing.on):
        return replace(step, sown=doing.on, plant_by=None, sow_by=None)
    if doing.plants and doing.done == "sown-indoors" and step.planted is None:
        return replace(step, method="transplant")
    return None


def _changed_cover(step: CoverStep, doing: Doing) -> Step | None:
    if step.cut and doing.done != "cut":
        return None
    if doing.done == "sown" and (step.sown is None or set(doing.plants) <= set(step.covers)) \
            and _near(step.sown, doing.on):
        return replace(step, covers=doing.plants or step.covers, sown=doing.on)
    if doing.done == "failed" and (step.sown or doing.plants):
        return replace(step, covers=(), sown=None, how=None, failed=(*step.failed, *(doing.plants or step.covers)),
                       not_before=doing.on)
    if doing.done == "cut" and (step.sown or doing.plants) and _near(step.cut, doing.on):
        return replace(step, covers=step.covers or doing.plants, cut=doing.on)
    if doing.done == "mulched" and not step.sown:
        return MulchStep(MULCHED_WITH, step.place, doing.on)
    return None


def _near(known: date | None, day: date) -> bool:
    """Whether a date that stands is the same event, less exactly told; one far off is another year's."""
    return known is None or abs(day - known) <= SAME_EVENT


def diary_line(doing: Doing) -> str:
    """The entry as a line of the diary file, names quoted so that any script and sign is safe."""
    parts = [f"on: {doing.on.isoformat()}"]
    if doing.bed:
        parts.append(f"bed: {_quoted(doing.bed)}")
    parts.append(f"done: {doing.done}")
    if doing.plants:
        parts.append(f"plant: [{', '.join(doing.plants)}]")
    if doing.note:
        parts.append(f"note: {_quoted(doing.note)}")
    return "  - {" + ", ".join(parts) + "}\n"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
