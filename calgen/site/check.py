"""What a site file means: dates in order, frost dates that can be, orders that make sense. One small check each."""

from __future__ import annotations

import itertools
from datetime import date, timedelta
from math import ceil, cos, pi
from typing import TYPE_CHECKING

from calgen.site.model import CoverStep, CropStep, MulchStep

if TYPE_CHECKING:
    from collections.abc import Callable

    from calgen.problems import Faults
    from calgen.site.model import Bed, Site

SEARCH_DAYS = 900
LEAST_BELOW_SUMMER_C = 10


def check(site: Site, faults: Faults) -> None:
    """Report every contradiction within the site file."""
    for one in SITE_CHECKS:
        one(site, faults)
    for bed in site.beds:
        for bed_check in BED_CHECKS:
            bed_check(site, bed, faults)


def frost_season(site: Site, faults: Faults) -> None:
    """The last frost of spring comes before the first of autumn, and each in its half of the year."""
    if site.frost is None:
        return
    year = 2001
    last, first = site.frost.last.in_year(year), site.frost.first.in_year(year)
    if last == first:
        faults.add(site.frost.place, "frost", "last and first frost fall on the same day")
        return
    if abs(site.latitude_deg) < 23.5:
        return
    spring = (1, 7) if not site.south else (7, 13)
    month = last.month
    if not (spring[0] <= month <= spring[1] or (site.south and month == 1)):
        half = "southern" if site.south else "northern"
        hint = " or is the latitude's sign wrong?" if site.latitude_deg else ""
        faults.add(site.frost.place, "frost: last",
                   f"{last.day} {last:%B} is no spring day in the {half} half of the world; "
                   f"are last and first swapped,{hint}")


def winter_is_cold(site: Site, faults: Faults) -> None:
    """Where frosts come, the coldest night lies below freezing: a lost minus sign is caught here.

    A degree is left to mild coasts, where frost comes in about every second winter.
    """
    if site.frost is not None and site.winter_low_c is not None and site.winter_low_c > 1:
        faults.add(site.place, "winter-low", f"{site.winter_low_c:g} °C is no frost, though frost dates are given; "
                   "is the minus sign missing?")


def winter_against_summer(site: Site, faults: Faults) -> None:
    """The coldest night lies below the warmest month, by much where frosts come: even on Macquarie Island by 13 °C

    (from memory).
    """
    if site.winter_low_c is None or site.warmest_month_c is None:
        return
    least = LEAST_BELOW_SUMMER_C if site.frost is not None else 0
    below = site.warmest_month_c - site.winter_low_c
    if below < least:
        told = f"only {below:.1f} °C" if below > 0 else "nothing"
        faults.add(site.place, "winter-low",
                   f"{site.winter_low_c:g} °C is {told} below a warmest month of {site.warmest_month_c:g} °C; "
                   "one of the two is wrong")


def summer_warms_between_frosts(site: Site, faults: Faults) -> None:
    """A long season without frost has a summer: about 5 °C on its first and last day, a wave of 2 °C or more between.

    The least waves are those of small islands in the far south (from memory). Greenland's coast has 95 days and 7 °C,
    above 4000 m in Bolivia it is 130 days and 9 °C (from memory). Where dates are reversed, there is no season.
    """
    if site.frost is None or site.warmest_month_c is None:
        return
    days = (site.frost.first.in_year(2001) - site.frost.last.in_year(2001)).days % 365
    least = 5 + 2 * (1 - cos(pi * days / 365))
    if days <= 340 and site.warmest_month_c < least:
        faults.add(site.place, "warmest-month",
                   f"{site.warmest_month_c:g} °C is too cold for {days} days without frost; write the mean of day and "
                   f"night, which is at least {ceil(least)} °C there, or mend the frost dates")


def winter_at_latitude(site: Site, faults: Faults) -> None:
    """No ordinary winter is so cold so near the equator.

    Limit -30 °C at 20°, 0.8 °C less for each degree; Oymyakon at 63.5° has about -60 °C in an ordinary winter, the
    north of Tibet at 35° about -35 (from memory).
    """
    limit = -30 - 0.8 * (abs(site.latitude_deg) - 20)
    if site.winter_low_c is not None and site.winter_low_c < limit:
        faults.add(site.place, "winter-low",
                   f"{site.winter_low_c:g} °C is colder than any ordinary winter {abs(site.latitude_deg):g}° from the "
                   "equator; check both")


def sizes(site: Site, faults: Faults) -> None:
    """At most a hundred steps in the order of a bed, and ten of them left to choose. Judgement, by what takes long."""
    for bed in site.beds:
        left = sum(isinstance(step, CropStep) and step.choose for step in bed.order)
        if left > 10:
            what = f"{left} crops left to choose are more than calgen weighs for one bed; name the later ones, or " \
                   "leave them out"
            faults.add(bed.place, f'bed "{bed.name}": order', what)
        if len(bed.order) > 100:
            faults.add(bed.place, f'bed "{bed.name}": order', f"{len(bed.order)} steps are more than calgen plans for "
                                                              "one bed; leave out what is long past or far off")


def named_apart(site: Site, faults: Faults) -> None:
    """Bed names differ by more than case."""
    seen: dict[str, Bed] = {}
    for bed in site.beds:
        before = seen.setdefault(bed.name.casefold(), bed)
        if before is not bed:
            faults.add(bed.place, f'bed "{bed.name}"', f'reads like "{before.name}" on line {before.place.line}; '
                       "give it a name of its own")


def order_not_empty(site: Site, bed: Bed, faults: Faults) -> None:
    """Something stands in each order."""
    if not bed.order:
        faults.add(bed.place, f'bed "{bed.name}": order', "is empty; add what stands there, then what follows")


def own_dates(site: Site, bed: Bed, faults: Faults) -> None:
    """The dates of one step follow each other."""
    for step in bed.order:
        dated: tuple[tuple[str, date | None], ...]
        if isinstance(step, CropStep):
            dated = (("sown", step.sown), ("planted", step.planted), ("ready", step.ready), ("cleared", step.cleared))
        elif isinstance(step, CoverStep):
            dated = (("sown", step.sown), ("cut", step.cut))
        else:
            dated = (("laid", step.laid),)
        given = [(name, day) for name, day in dated if day]
        for (name_a, day_a), (name_b, day_b) in itertools.pairwise(given):
            if day_b <= day_a:
                faults.add(step.place, f'bed "{bed.name}"', f"{name_b} {day_b} is not after {name_a} {day_a}")


def order_dates(site: Site, bed: Bed, faults: Faults) -> None:
    """The steps of a bed follow each other: none begins before the one before it began."""
    begun: tuple[str, date] | None = None
    for step in bed.order:
        start = _start(step)
        if start is None:
            continue
        if begun and start < begun[1]:
            faults.add(step.place, f'bed "{bed.name}"',
                       f"begins {start}, before {begun[0]} ({begun[1]}); put the steps in the order of time")
        begun = (_word(step), start)


def near_the_chart(site: Site, bed: Bed, faults: Faults) -> None:
    """Dates lie near the charted year: a slip of the year is caught here."""
    low, high = site.chart_starts - timedelta(SEARCH_DAYS), site.chart_starts + timedelta(SEARCH_DAYS)
    for step in bed.order:
        for day in _dates(step):
            if not low <= day <= high:
                faults.add(step.place, f'bed "{bed.name}"',
                           f"{day} is far from the charted year (from {site.chart_starts:%B %Y}); is the year right?")


def standing_start(site: Site, bed: Bed, faults: Faults) -> None:
    """A crop sown among another needs that other; a cover needs something before it to be undersown."""
    for index, step in enumerate(bed.order):
        before = bed.order[index - 1] if index else None
        if isinstance(step, CropStep) and step.among and not isinstance(before, CropStep):
            faults.add(step.place, f'bed "{bed.name}"', "nothing stands before it to be sown among; leave out among")
        if isinstance(step, CoverStep) and step.how in ("undersown", "between-rows") \
                and not isinstance(before, CropStep):
            faults.add(step.place, f'bed "{bed.name}": how', f"{step.how} needs a crop before it in the order")


def pots_without_rows(site: Site, bed: Bed, faults: Faults) -> None:
    """Pots have no rows to drill between."""
    for step in bed.order:
        if bed.size.pots and isinstance(step, CoverStep) and step.how == "between-rows":
            faults.add(step.place, f'bed "{bed.name}": how', "between-rows is for beds; in pots write undersown")


def covers_in_a_row(site: Site, bed: Bed, faults: Faults) -> None:
    """Two covers in a row are one mixture or a mistake."""
    for before, step in zip(bed.order, bed.order[1:], strict=False):
        if isinstance(before, CoverStep) and isinstance(step, CoverStep) and not (before.cut or step.sown):
            faults.add(step.place, f'bed "{bed.name}"',
                       "two covers follow each other; write a list for a mixture, or give cut and sown dates")
        if isinstance(before, MulchStep) and isinstance(step, MulchStep):
            faults.add(step.place, f'bed "{bed.name}"', "two mulches follow each other; leave one out")


def method_dates(site: Site, bed: Bed, faults: Faults) -> None:
    """A crop that was sown has no planting deadline, and so on."""
    for step in bed.order:
        if isinstance(step, CropStep):
            if (step.sown or step.planted) and (step.sow_by or step.plant_by):
                faults.add(step.place, f'bed "{bed.name}"', "has both a start and a deadline for it; keep one")
            if step.sow_by and step.plant_by:
                faults.add(step.place, f'bed "{bed.name}"', 'give either "sow-by" or "plant-by"')


def left_to_choose(site: Site, bed: Bed, faults: Faults) -> None:
    """A crop left to calgen is one of those wanted; what only suits a named crop stands with none."""
    for step in bed.order:
        if not isinstance(step, CropStep) or not step.choose:
            continue
        if not site.wanted:
            faults.add(step.place, f'bed "{bed.name}": crop',
                       'choose needs crops to choose from; add "wanted: [tomato 2 beds, carrot 1 bed]" to the site')
        odd = [word for word, given in (("sown", step.sown), ("planted", step.planted), ("ready", step.ready),
                                        ("cleared", step.cleared), ("days", step.days), ("start", step.method),
                                        ("among", step.among), ("with", step.companion),
                                        ("save-seed", step.save_seed)) if given]
        if odd:
            faults.add(step.place, f'bed "{bed.name}": crop',
                       f'"{odd[0]}" goes with a crop by its name; write the crop in place of choose')


def _dates(step: object) -> list[date]:
    names = ("sown", "planted", "ready", "cleared", "sow_by", "plant_by", "cut", "laid")
    return [day for day in (getattr(step, name, None) for name in names) if isinstance(day, date)]


def _start(step: object) -> date | None:
    return getattr(step, "planted", None) or getattr(step, "sown", None) or getattr(step, "laid", None)


def _word(step: object) -> str:
    if isinstance(step, CropStep):
        return step.plant
    if isinstance(step, CoverStep):
        return " with ".join(step.covers) or "the cover"
    return "the mulch"


SITE_CHECKS: tuple[Callable[[Site, Faults], None], ...] = (
    frost_season, winter_is_cold, winter_against_summer, winter_at_latitude, summer_warms_between_frosts, sizes,
    named_apart)
BED_CHECKS: tuple[Callable[[Site, Bed, Faults], None], ...] = (
    order_not_empty, own_dates, order_dates, near_the_chart, standing_start, pots_without_rows, covers_in_a_row,
    method_dates, left_to_choose)
