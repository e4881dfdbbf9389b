"""What the grower gave, in one line a thing, so that the next build can tell what is different."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calgen.site.model import Bed, Doing, Site, Step

KINDS = {"CropStep": "plant", "CoverStep": "covers", "MulchStep": "material"}


def inputs(site: Site) -> dict[str, object]:
    """What the plan rests on, for plan.json and for telling what changed. Frost dates as MM-DD."""
    given: dict[str, object] = {"latitude": site.latitude_deg, "chart-starts": site.chart_starts.isoformat()}
    if site.frost:
        given["last-frost"] = f"{site.frost.last.month:02d}-{site.frost.last.day:02d}"
        given["first-frost"] = f"{site.frost.first.month:02d}-{site.frost.first.day:02d}"
        if site.frost.spread_days:
            given["spread-days"] = site.frost.spread_days
    if site.winter_low_c is not None:
        given["winter-low-c"] = site.winter_low_c
    if site.warmest_month_c is not None:
        given["warmest-month-c"] = site.warmest_month_c
    if site.climate.record:
        given["record"] = site.climate.record
    if site.climate.normals_c:
        given["normals"] = ", ".join(f"{low:g} to {high:g}" for low, high in site.climate.normals_c)
    given["caution"] = round(site.caution, 4)
    given["soil"], given["tools"] = site.soil, site.tools
    given["garden-days"] = ", ".join(str(day + 1) for day in site.garden_days)
    given["beds"] = {bed.name: _bed(bed) for bed in site.as_written or site.beds}
    if site.wanted:
        given["wanted"] = ", ".join(f"{one.plant} {one.beds}" for one in site.wanted)
    if site.diary:
        given["diary"] = _diary(site.diary)
    return given


def _bed(bed: Bed) -> dict[str, str]:
    size = f"{bed.size.pots} x {bed.size.pot_litres:g} l" if bed.size.pots else f"{bed.size.area_m2:g} m2"
    given = {"size": size, "order": "; ".join(step_text(step) for step in bed.order)}
    if bed.soil:
        given["soil"] = ", ".join(bed.soil)
    if bed.needs:
        given["needs"] = ", ".join(bed.needs)
    if bed.grew:
        given["grew"] = "; ".join(f"{year}: {', '.join(plants)}" for year, plants in bed.grew)
    return given


def step_text(step: Step) -> str:
    """A step of an order with whatever is given about it: ``leek planted 2026-06-20``."""
    main = KINDS[type(step).__name__]
    words = [_text(getattr(step, main)) or main.removesuffix("s").replace("plant", "crop")]
    bare = type(step)(getattr(step, main), step.place)
    for name in step.__struct_fields__:
        value = getattr(step, name)
        if value != getattr(bare, name):
            words.append(name.replace("_", "-") if value is True else f"{name.replace('_', '-')} {_text(value)}")
    return " ".join(words)


def _text(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    return " + ".join(value) if isinstance(value, tuple) else str(value)


def _diary(diary: tuple[Doing, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for doing in diary:
        name = base = ", ".join(part for part in (doing.on.isoformat(), doing.bed) if part)
        count = 1
        while name in found:
            count += 1
            name = f"{base} ({count})"
        found[name] = " ".join([doing.done, *doing.plants])
    return found
