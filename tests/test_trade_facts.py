"""What growers in a mild maritime climate hold for true, each fact from site file to advice. All are common practice.

The garden is invented: 52.5° N, last frost 22 April, first 4 November, warmest month 16.9 °C, winter low -6 °C.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen.command.load import desk_of
from calgen.schedule.build import site_windows

if TYPE_CHECKING:
    from calgen.command.load import Desk
    from calgen.planner.model import Choice, Option

GARDEN = """
site: Sallow End
latitude: 52.5
frost: {last: 22 April, first: 4 November}
winter-low: -6
warmest-month: 16.9
soil: loam
tools: hand
chart-starts: August 2026
beds:
  Bed:
"""
CLOVERS = ("crimson-clover", "red-clover", "white-clover")
EARLY_AUTUMN = (date(2026, 8, 15), date(2026, 9, 30))


def garden(bed: str, **site: str) -> Desk:
    """The garden with one bed, given as lines of its mapping."""
    text = GARDEN
    for key, value in site.items():
        text = text.replace("beds:", f"{key.replace('_', '-')}: {value}\nbeds:")
    return desk_of((text + "\n".join(f"    {line}" for line in bed.strip("\n").split("\n"))).encode(),
                   Path("sallow.yaml"))


def cleared(crop: str, day: str, then: str | None, cover: str = "choose", more: str = "size: 1.2 x 5 m",
            was: str = "planted: 2026-05-10") -> Desk:
    """A crop cleared on a day, a cover, and the crop after it."""
    lines = [*more.split("\n"), "order:", f"  - {{crop: {crop}, {was}, cleared: {day}}}", f"  - cover: {cover}"]
    return garden("\n".join([*lines, *([f"  - crop: {then}"] if then else [])]))


def choice(found: Desk) -> Choice:
    """The bed's only choice."""
    (only,) = found.plan.beds[0].choices
    return only


def offered(found: Choice) -> list[tuple[str, ...]]:
    """Covers of the ranking, best first."""
    return [option.ids for option in found.ranking.options]


def single(found: Choice, cover: str) -> Option:
    """A cover alone in the ranking."""
    return next(option for option in found.ranking.options if option.ids == (cover,))


def refused(found: Choice, cover: str) -> list[str]:
    """The keys of why a cover is refused, empty when it is offered."""
    return [reason.key for entry in found.ranking.rejected if entry.covers == (cover,) for reason in entry.reasons]


def last_sowing(cover: str) -> date:
    """The last safe day of the autumn of 2026."""
    found = garden("size: 1 x 1 m\norder:\n  - crop: leek")
    return max(window.last for window in site_windows(found.site, found.climate, found.knowledge, (cover,))
               if window.first < date(2026, 12, 31))


def test_white_mustard_may_be_sown_to_the_end_of_october_if_a_grower_wants_it() -> None:
    found = choice(cleared("lettuce", "2026-10-25", "tomato", "white mustard"))
    assert found.chosen is not None
    assert found.chosen.ids == ("white-mustard",)
    assert date(2026, 10, 25) <= found.chosen.sow <= date(2026, 10, 31)
    assert found.chosen.seed_factor > 1


def test_white_mustard_is_still_offered_in_late_october() -> None:
    assert ("white-mustard",) in offered(choice(cleared("lettuce", "2026-10-25", "tomato")))


def test_rye_may_be_sown_later_still() -> None:
    assert date(2026, 11, 10) <= last_sowing("cereal-rye") <= date(2026, 12, 5)
    found = choice(cleared("lettuce", "2026-11-10", "tomato"))
    assert not any(reason.key == "past-safe-sowing" for reason in single(found, "cereal-rye").reasons)
    assert any(reason.key == "past-safe-sowing" for reason in single(choice(cleared("lettuce", "2026-10-28", "tomato")),
                                                                     "white-mustard").reasons)


@pytest.mark.parametrize("clover", CLOVERS)
def test_clovers_need_the_warmth_of_early_autumn(clover: str) -> None:
    assert EARLY_AUTUMN[0] <= last_sowing(clover) <= EARLY_AUTUMN[1]
    assert refused(choice(cleared("lettuce", "2026-10-20", "tomato")), clover)


def test_buckwheat_is_for_spring_and_summer_and_frost_kills_it() -> None:
    assert last_sowing("buckwheat") < date(2026, 9, 1)
    assert refused(choice(cleared("lettuce", "2026-09-20", "tomato")), "buckwheat")
    summer = single(choice(cleared("early potato", "2026-08-02", "tomato")), "buckwheat")
    assert summer.attained.kill_chance == 1
    assert summer.ending.way in ("winter-kill", "cut-at-flowering")
    assert summer.ending.best <= date(2026, 11, 4)


@pytest.mark.parametrize(("before", "after"), [("summer cabbage", "onion"), ("lettuce", "summer cabbage")])
def test_no_mustard_before_or_after_cabbages(before: str, after: str) -> None:
    found = choice(cleared(before, "2026-09-05", after))
    assert refused(found, "white-mustard")[0] == "clash-brassica"
    assert refused(found, "brown-mustard")[0] == "clash-brassica"


def test_rye_after_cabbages_when_it_is_late() -> None:
    """Where ground cover is wanted; where the next crop is hungry, a bean comes first."""
    found = choice(cleared("summer cabbage", "2026-10-20", "courgette",
                           more="size: 1.2 x 5 m\nneeds: [cover, hold-nutrients]"))
    assert ("cereal-rye",) in offered(found)[:3]


def test_no_mustard_among_cabbages() -> None:
    found = garden("size: 1.2 x 5 m\norder:\n  - {crop: Brussels sprouts, planted: 2026-05-25}\n"
                   "  - {cover: white mustard, how: undersown}\n  - crop: tomato")
    assert refused(choice(found), "white-mustard")
    assert choice(found).chosen is None or choice(found).chosen.ids != ("white-mustard",)


def test_after_sweet_corn_a_legume_is_first() -> None:
    found = choice(cleared("sweet corn", "2026-09-05", "courgette"))
    assert found.chosen is not None
    assert any(cover.kind == "legume" for cover in found.chosen.covers)
    assert any(reason.key == "legume-after-corn" for reason in found.chosen.reasons)


@pytest.mark.parametrize(("before", "after"), [("lettuce", "maincrop potato"), ("early potato", "onion")])
def test_mustard_and_potatoes_get_on(before: str, after: str) -> None:
    found = single(choice(cleared(before, "2026-08-20", after)), "white-mustard")
    assert any(reason.key == "mustard-with-potatoes" and reason.good for reason in found.reasons)


def test_radish_opens_compacted_clay_and_its_root_stays_in() -> None:
    found = choice(cleared("early potato", "2026-08-08", "tomato",
                           more="size: 1.2 x 5 m\nsoil: [clay, compacted]\nneeds: [structure]"))
    first = next(option for option in found.ranking.options if "tillage-radish" in option.ids)
    assert offered(found).index(first.ids) < 3
    named = cleared("early potato", "2026-08-08", "tomato", "tillage radish",
                    more="size: 1.2 x 5 m\nsoil: [clay, compacted]\nneeds: [structure]")
    job = next(job for job in named.schedule(date(2026, 8, 1)).jobs if job.kind == "cut-down")
    assert job.on > date(2026, 11, 1)
    assert "roots in" in job.text + job.how


def test_vetch_goes_under_gourds_that_die_back() -> None:
    found = garden("pots: 6 x 40 l\norder:\n  - {crop: winter squash, planted: 2026-05-28, cleared: 2026-10-10}\n"
                   "  - {cover: choose, how: undersown}\n  - crop: tomato")
    option = next(option for option in choice(found).ranking.options
                  if {"hairy-vetch", "common-vetch"} & set(option.ids))
    assert option.how == "undersown"
    assert option.sow < date(2026, 10, 10)
    assert any(reason.key == "vetch-under-dying-vines" for reason in option.reasons)


def test_garlic_takes_a_light_sowing_of_clover() -> None:
    with_clover = garden("size: 1.2 x 5 m\norder:\n  - {crop: garlic, planted: 2026-10-20, with: white clover}")
    alone = choice(cleared("lettuce", "2026-08-20", "tomato", "white clover"))
    found = choice(with_clover)
    assert found.chosen is not None
    assert found.chosen.ids == ("white-clover",)
    assert any(reason.key == "thin-clover-with-alliums" for reason in found.chosen.reasons)
    assert alone.chosen is not None
    assert found.chosen.seed_g["white-clover"] < 0.7 * alone.chosen.seed_g["white-clover"]


def test_when_it_is_too_late_a_deep_mulch() -> None:
    found = cleared("parsnip", "2026-12-20", "lettuce", was="sown: 2026-03-28")
    assert choice(found).chosen is None
    laid = next(task for task in found.plan.beds[0].tasks if task.kind == "mulch")
    straw = found.knowledge.mulches["straw"].depth_mm
    assert (laid.facts["depth_low_mm"], laid.facts["depth_high_mm"]) == (straw.low, straw.high)
    assert straw.low >= 100
    job = next(job for job in found.schedule(date(2026, 8, 1)).jobs if job.kind == "mulch")
    assert "cm" in job.text
