"""The site file of the year after: what grew where told as past, what stands carried over, the chart moved on.

Everything of the old file outside its beds stays byte for byte, but for ``chart-starts``. Of each bed its ground stays;
``grew`` and ``order`` are written anew from the plan as the diary left it.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import yaml

from calgen.command.plain import plain
from calgen.command.step_lines import plant_text, standing, to_choose, to_come
from calgen.command.wanted_left import is_left, with_wanted
from calgen.problems import Faults, InputError, Place, Problem
from calgen.site.check import SEARCH_DAYS
from calgen.site.edit import with_value
from calgen.site.model import CoverStep, CropStep, MulchStep
from calgen.yamlfile import compose

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from calgen.command.load import Desk
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import BedPlan, Piece
    from calgen.site.model import Step

Past = dict[int, list[str]]


def next_year(found: Desk, data: bytes) -> bytes:
    """The new file.

    Args:
        data: the old one.

    Raises:
        InputError: it is written within braces, so that its beds cannot be written anew.
    """
    file = str(found.path)
    data = with_value(data, file, ("chart-starts",), f"{found.plan.end:%B %Y}", Faults())
    data = with_wanted(data, found)
    top = compose(data, file, Faults()).node.raw
    beds = next(value for key, value in top.value if key.value == "beds")
    if top.flow_style or beds.flow_style:
        raise InputError([Problem(Place(file), "beds", "stand within braces; write each bed on lines of its own")])
    bom = data[:3] if data.startswith(b"\xef\xbb\xbf") else b""
    text = data[len(bom):].decode("utf-8")
    ends = "\r\n" if "\r\n" in text else "\n"
    start = text.rfind("\n", 0, beds.start_mark.index) + 1
    raw = {" ".join(key.value.split()): value for key, value in beds.value}
    blocks = [line for plan in found.plan.beds for line in _bed(plan, raw[plan.bed.name], text, found)]
    before = text[:start].splitlines()
    while before and any(before[0].startswith(line[:20]) for line in _head(found)):
        del before[0]
    lines = ends.join([*_head(found), *before, *blocks, text[beds.end_mark.index:]])
    return bom + lines.encode("utf-8")


def _head(found: Desk) -> list[str]:
    count = len(found.site.diary)
    diary = f" and its diary ({count} entr{'ies' if count != 1 else 'y'})" if count else ""
    last = found.speaker.full_day(found.plan.end - timedelta(1))
    return [f"# Carried over from {found.path.name}{diary}, whose chart ends with {last}.",
            '# What is over by then is under "grew"; what still stands leads each order, then what was to follow.',
            '# Dates marked "planned" are reckoned: put the real ones in. Then write what follows in each bed.']


def _bed(plan: BedPlan, raw: Any, text: str, found: Desk) -> list[str]:
    past: Past = {year: list(plants) for year, plants in plan.bed.grew}
    steps, notes = _carried(plan, past, found)
    ground = [f"    {key.value}: {_given(value, text)}" for key, value in raw.value
              if key.value not in ("grew", "order")]
    order = [f"{'        ' if number else '      - '}{line}" for step in steps for number, line in enumerate(step)]
    return [f"  {plain(plan.bed.name)}:", *ground, *_grew(past, found.knowledge), *_resting(past, found.knowledge),
            *(f"    # {note}" for note in notes), "    order:", *order]


def _carried(plan: BedPlan, past: Past, found: Desk) -> tuple[list[list[str]], list[str]]:
    """The steps of the new order and notes on it; what is over goes into ``past``."""
    knowledge, end, order = found.knowledge, found.plan.end, plan.bed.order
    steps: list[list[str]] = []
    notes: list[str] = []
    begun = [bool(pieces) and pieces[0].start < end for pieces in (_pieces(plan, step) for step in order)]
    for index, step in enumerate(order):
        pieces = _pieces(plan, step)
        lasting = isinstance(step, CropStep) and knowledge.crops[step.plant].perennial and not step.cleared
        after_crop = bool(steps) and steps[-1][0].startswith("crop:")
        if begun[index] and (pieces[-1].to > end or lasting):
            key, real = _start(plan, step)
            since = pieces[0].start
            if end - since > timedelta(SEARCH_DAYS):
                notes.append(f"{_said(step, knowledge)} stands since {found.speaker.full_day(since)}")
                steps.append([_said(step, knowledge)])
            else:
                steps.append(standing(step, pieces[0].plants, since, key, real, knowledge))
        elif begun[index]:
            _remember(past, step, pieces)
        elif any(begun[index + 1:]) or (isinstance(step, CoverStep) and not after_crop and steps):
            if not (isinstance(step, CoverStep) and step.choose):
                notes.append(f"left out, as it found no place: {_said(step, knowledge)}")
        else:
            steps.append(to_choose(step) if is_left(step, found) else to_come(step, knowledge, after_crop=after_crop))
    if any(choice.plant is None for choice in plan.crops):
        notes.append("a place was left to choose, but no crop wanted was left for it")
    if not steps:
        steps = [["cover: choose       # nothing was planned here any more: write what follows"]]
    return steps, notes


def _pieces(plan: BedPlan, step: Step) -> list[Piece]:
    kind = "crop" if isinstance(step, CropStep) else "mulch" if isinstance(step, MulchStep) else "cover"
    return sorted((piece for piece in plan.pieces if piece.step is step and piece.kind == kind),
                  key=lambda piece: piece.start)


def _start(plan: BedPlan, step: Step) -> tuple[str, bool]:
    """The word for how a step began, and whether the grower gave the day."""
    if isinstance(step, MulchStep):
        return "laid", step.laid is not None
    if isinstance(step, CoverStep):
        return "sown", step.sown is not None
    if step.planted or step.sown:
        return ("planted" if step.planted else "sown"), True
    direct = any(timed.kind == "sow" and timed.plants == (step.plant,) for timed in plan.tasks)
    return ("sown" if direct else "planted"), False


def _remember(past: Past, step: Step, pieces: Sequence[Piece]) -> None:
    """What is over, in the year the planner counts it for: a crop by its end, a cover by its sowing."""
    if isinstance(step, MulchStep):
        return
    year = (pieces[-1].to if isinstance(step, CropStep) else pieces[0].start).year
    known = past.setdefault(year, [])
    known.extend(plant for plant in pieces[0].plants if plant not in known)


def _grew(past: Mapping[int, Sequence[str]], knowledge: Knowledge) -> list[str]:
    if not past:
        return []
    years = [f"{year}: [{', '.join(plant_text(plant, knowledge) for plant in past[year])}]"
             for year in sorted(past, reverse=True)]
    return [f"    grew: {{{', '.join(years)}}}"]


def _resting(past: Mapping[int, Sequence[str]], knowledge: Knowledge) -> list[str]:
    """A note for each family that should not come back yet, with the year from which it may."""
    rest: dict[str, tuple[int, str, int]] = {}
    for year in sorted(past):
        for plant in past[year]:
            crop = knowledge.crops.get(plant)
            if crop and crop.gap_years and not crop.perennial:
                again = year + int(crop.gap_years.low) + 1
                if again > rest.get(crop.rotation_group, (0, "", 0))[0]:
                    rest[crop.rotation_group] = (again, plant_text(plant, knowledge).strip("'"), year)
    latest = max(past, default=0)
    return [f"    # {group}: not before {again} ({name} in {year})"
            for group, (again, name, year) in sorted(rest.items()) if again > latest + 1]


def _said(step: Step, knowledge: Knowledge) -> str:
    return to_come(step, knowledge, after_crop=False)[0]


def _given(node: Any, text: str) -> str:
    """A value as it stands in the old file; a list over several lines is put into one."""
    if isinstance(node, yaml.SequenceNode):
        return "[" + ", ".join(plain(item.value) for item in node.value) + "]"
    return text[node.start_mark.index:node.end_mark.index].rstrip()
