"""A site file's bytes -> Site. Shape only; meaning is checked in ``check``. Every fault is reported in one run."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Protocol

from calgen.problems import Faults
from calgen.site import convert
from calgen.site.check import check
from calgen.site.model import (
    HOWS,
    PURPOSES,
    SOIL_PROBLEMS,
    SOIL_TYPES,
    Bed,
    ClimateInput,
    CoverStep,
    CropStep,
    Frost,
    MulchStep,
    Site,
    Size,
    Step,
    Wanted,
)
from calgen.site.own import KEY as OWN_PLANTS
from calgen.yamlfile import compose

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import date

    from calgen.problems import Place
    from calgen.yamlfile import Mapping, Node

MOST_BEDS = 1000
"""Beyond that the file is no garden's. Judgement."""
EVENT_KEYS = ("crop", "cover", "mulch")


class Names(Protocol):
    """Finds plants by any of their names; each method raises ``ValueError`` with the end of a sentence."""

    def crop(self, text: str) -> str:
        """The id of a crop."""

    def cover(self, text: str) -> str:
        """The id of a cover."""

    def grown(self, text: str) -> str:
        """The id of a crop or cover that stood in a bed."""

    def mulch(self, text: str) -> str:
        """The id of a mulch."""


def read_site(data: bytes, file: str, names: Names) -> Site:
    """Read a site file.

    Args:
        data: the bytes of the YAML file. [UTF-8]
        file: its name as the grower knows it, for places.
        names: finds crops, covers and mulches.

    Raises:
        InputError: with every fault, its line and column.
    """
    faults = Faults()
    top = compose(data, file, faults)
    site = _site(top, file, names)
    faults.stop_if_any()
    check(site, faults)
    faults.stop_if_any()
    return site


def _site(top: Mapping, file: str, names: Names) -> Site:
    top.get(OWN_PLANTS)
    name = top.scalar("site", convert.name_text)
    latitude = top.scalar("latitude", convert.number(-70, 70, "degrees"))
    longitude = top.scalar("longitude", convert.number(-180, 180, "degrees"), None)
    timezone = top.scalar("timezone", _timezone, None)
    climate = _climate(top.get("climate"))
    frost = _frost(top, climate)
    winter_low = top.scalar("winter-low", convert.number(-70, 25, "°C"), None)
    warmest = top.scalar("warmest-month", convert.number(5, 45, "°C"), None)
    soil = top.scalar("soil", convert.one_of(*SOIL_TYPES), "loam")
    tools = top.scalar("tools", convert.one_of("hand", "tiller"), "hand")
    units = top.scalar("units", convert.one_of("metric", "us"), "metric")
    garden_days = tuple(sorted(set(top.items("garden-days", convert.weekday)))) or (5, 6)
    caution = top.scalar("caution", convert.share, 0.2)
    chart_starts = top.scalar("chart-starts", convert.month_year)
    language = top.scalar("language", convert.language_code, "en")
    reminders = top.scalar("reminders", convert.one_of("none", "evening-before", "morning-of", "both"),
                           "evening-before")
    digest = top.scalar("digest", convert.yes_no, False)
    feed_address = top.scalar("feed-address", _address, None)
    seed_in_hand = _seed_in_hand(top.get("seed-in-hand"), names)
    jobs_per_day = top.scalar("jobs-per-day", convert.whole_number(1, 200), None)
    wanted = _wanted(top.get("wanted"), names)
    beds_node = top.need("beds")
    if beds_node and beds_node.is_mapping and (count := len(beds_node.raw.value)) > MOST_BEDS:
        beds_node.fault(f"{count} beds are more than calgen plans in one file; split it")
        beds_node.faults.stop_if_any()
    beds = tuple(_bed(key, node, names) for key, _, node in beds_node.mapping().pairs()) if beds_node else ()
    if beds_node and beds_node.is_mapping and not beds_node.raw.value:
        beds_node.fault("no bed is given; add one")
    top.finish()
    return Site(name=name, file=file, place=top.place, latitude_deg=latitude, longitude_deg=longitude,
                timezone=timezone, frost=frost, winter_low_c=winter_low, warmest_month_c=warmest, climate=climate,
                soil=soil, tools=tools, units=units, garden_days=garden_days,  # type: ignore[arg-type]
                caution=caution, chart_starts=chart_starts, beds=beds, language=language,
                reminders=reminders, digest=digest, feed_address=feed_address,  # type: ignore[arg-type]
                seed_in_hand=seed_in_hand, jobs_per_day=jobs_per_day, wanted=wanted)


def _seed_in_hand(node: Node | None, names: Names) -> tuple[tuple[str, float], ...]:
    """Seed in the tin by cover, each once. [g]"""
    found: dict[str, float] = {}
    for key, place, amount in node.mapping().pairs() if node else ():
        grams = amount.scalar(convert.seed_mass, 0.0)
        try:
            cover = names.cover(key)
        except ValueError as error:
            amount.faults.add(place, "seed-in-hand", f'"{key}" {error}')
            continue
        if cover in found:
            amount.faults.add(place, "seed-in-hand", f'"{key}" is given twice under different names; add the two up')
        found[cover] = grams
    return tuple(sorted(found.items()))


def _wanted(node: Node | None, names: Names) -> tuple[Wanted, ...]:
    """The crops wanted, each once: words (``tomato 2 beds``), or names with a number of beds (``tomato: 2``)."""
    if node is None:
        return ()

    def plant(text: str) -> str:
        try:
            return names.crop(text)
        except ValueError as error:
            try:
                names.cover(text)
            except ValueError:
                raise error from None
            raise ValueError("is a cover, no crop; covers stand in the order of a bed") from None

    found: dict[str, Wanted] = {}
    for name, place, beds, faults in _crops_and_beds(node):
        try:
            crop = plant(name)
        except ValueError as error:
            faults.add(place, "wanted", f'"{name}" {error}')
            continue
        if crop in found:
            faults.add(place, "wanted", f'"{name}" is given twice; add the beds up')
        found[crop] = Wanted(crop, beds, place)
    if node.is_empty or (node.is_list and not node.raw.value):
        node.fault("names no crop; write [tomato 2 beds, carrot 1 bed], or leave it out")
    return tuple(found.values())


def _crops_and_beds(node: Node) -> Iterator[tuple[str, Place, int, Faults]]:
    if node.is_mapping:
        for key, place, beds in node.mapping().pairs():
            if count := beds.scalar(convert.bed_count, 0):
                yield key, place, count, node.faults
        return
    for element in node.elements():
        if element.is_mapping:
            yield from _crops_and_beds(element)
        elif (words := element.scalar(convert.crop_and_beds, ("", 0))) and words[0]:
            yield words[0], element.place, words[1], node.faults


def _address(text: str) -> str:
    tidy = text.strip()
    if not tidy.lower().startswith(("https://", "http://")) or any(sign.isspace() for sign in tidy) or len(tidy) > 300:
        raise ValueError("is no address; write https://… as your web host gives it")
    return tidy


def _timezone(text: str) -> str:
    from zoneinfo import ZoneInfo  # noqa: PLC0415  only where a time zone is given

    try:
        ZoneInfo(text.strip())
    except (KeyError, ValueError, OSError):
        raise ValueError("is no time zone; write Europe/London") from None
    return text.strip()


def _frost(top: Mapping, climate: ClimateInput) -> Frost | None:
    node = top.get("frost") if climate.record else top.need("frost")
    if node is None:
        return None
    if not node.is_mapping and not node.is_list and not node.is_empty and node.text() == "none":
        return None
    keys = node.mapping()
    last = keys.scalar("last", convert.day_month)
    first = keys.scalar("first", convert.day_month)
    spread = keys.scalar("spread", convert.number(2, 60, "days"), None)
    keys.finish()
    return Frost(last, first, spread, keys.place)


def _climate(node: Node | None) -> ClimateInput:
    if node is None:
        return ClimateInput()
    keys = node.mapping()
    record = keys.scalar("record", convert.name_text, None)
    rows: list[tuple[float, float]] = []
    normals = keys.get("normals")
    if normals is not None:
        for row in normals.elements(single=False):
            pair = [cell.scalar(convert.number(-60, 60, "°C"), 0.0) for cell in row.elements(single=False)]
            if row.is_list and len(pair) != 2:
                row.fault("expected [lowest, highest], the month's mean daily minimum and maximum")
            elif len(pair) == 2 and pair[0] >= pair[1]:
                row.fault("the lowest is not below the highest; write [minimum, maximum]")
            elif row.is_list:
                rows.append((pair[0], pair[1]))
        if normals.is_list and len(normals.raw.value) != 12:
            normals.fault(f"expected 12 months, January first; found {len(normals.raw.value)}")
        if record:
            normals.fault('give either "normals" or "record"')
    if normals is None and record is None:
        keys.asked.update(normals=None, record=None)
        if not keys.entries and not keys.broken:
            node.fault('expected "normals" or "record"')
    keys.finish()
    return ClimateInput(tuple(rows), record, keys.place)


def _bed(name: str, node: Node, names: Names) -> Bed:
    node.path = (*node.path[:-2], f'bed "{name}"')
    keys = node.mapping()
    try:
        tidy = convert.name_text(name)
    except ValueError as error:
        keys.node.fault(f"the name {error}")
        tidy = name
    size = _size(keys)
    soil = keys.items("soil", convert.one_of(*SOIL_TYPES, *SOIL_PROBLEMS))
    needs = keys.items("needs", convert.one_of(*PURPOSES))
    grew = _grew(keys, names)
    order_node = keys.need("order")
    order = tuple(step for element in order_node.elements(single=False) for step in _step(element, names)) \
        if order_node else ()
    keys.finish()
    return Bed(tidy, keys.place, size, soil, needs, grew, order)  # type: ignore[arg-type]


def _size(keys: Mapping) -> Size:
    found = [keys.scalar(key, how, None) for key, how in
             (("size", convert.bed_size), ("area", convert.bed_area), ("pots", convert.pots)) if key in keys]
    if len(found) > 1:
        keys.node.fault('give one of "size", "area" and "pots"')
    if not found and not keys.broken:
        near = [key for key in keys.entries if key not in ("soil", "needs", "grew", "order")]
        if not near:
            keys.node.fault('its size is missing; add "size: 1.2 x 6 m", an "area" or "pots: 6 x 30 l"')
    return next((size for size in found if size), Size(1.0))


def _grew(keys: Mapping, names: Names) -> tuple[tuple[int, tuple[str, ...]], ...]:
    node = keys.get("grew")
    if node is None:
        return ()
    years: list[tuple[int, tuple[str, ...]]] = []
    inner = node.mapping()
    for key, place, _ in inner.pairs():
        try:
            year = convert.whole_number(1950, 2150)(key)
        except ValueError as error:
            node.faults.add(place, node.where, f'"{key}" {error}; write the year, as in 2025: [cabbage]')
            continue
        years.append((year, inner.items(key, names.grown)))
    return tuple(sorted(years, reverse=True))


def _step(node: Node, names: Names) -> tuple[Step, ...]:
    keys = node.mapping()
    if keys.broken:
        return ()
    given = [key for key in EVENT_KEYS if key in keys]
    if len(given) != 1:
        unknown = [key for key in keys.entries if key not in EVENT_KEYS]
        keys.asked.update(dict.fromkeys(unknown if given else ()))
        if given:
            node.fault(f'give one of "crop", "cover" and "mulch", found {" and ".join(given)}')
        elif not unknown:
            node.fault('expected "crop", "cover" or "mulch"')
        else:
            keys.finish()
        return ()
    readers: dict[str, Callable[[Mapping, Names], Step]] = {"crop": _crop, "cover": _cover, "mulch": _mulch}
    step = readers[given[0]](keys, names)
    keys.finish()
    return (step,)


def _day(keys: Mapping, key: str) -> date | None:
    return keys.scalar(key, convert.full_date, None)


def _crop(keys: Mapping, names: Names) -> CropStep:
    node = keys.entries["crop"][1]
    choose = _is_choose(node)
    _ = "crop" in keys
    return CropStep(
        plant="" if choose else keys.scalar("crop", _crop_name(names)), place=node.place, choose=choose,
        sown=_day(keys, "sown"), planted=_day(keys, "planted"), ready=_day(keys, "ready"),
        cleared=_day(keys, "cleared"), sow_by=_day(keys, "sow-by"), plant_by=_day(keys, "plant-by"),
        days=keys.scalar("days", convert.whole_number(10, 800), None),
        among=keys.scalar("among", convert.yes_no, False),
        companion=keys.scalar("with", names.cover, None),
        save_seed=keys.scalar("save-seed", convert.yes_no, False),
        method=_method(keys),  # type: ignore[arg-type]
    )


def _crop_name(names: Names) -> Callable[[str], str]:
    def convert_name(text: str) -> str:
        try:
            return names.crop(text)
        except ValueError:
            if get_close_matches(text.strip().lower()[:20], ["choose"], cutoff=0.85):
                raise ValueError('is no crop known here; did you mean "choose"?') from None
            raise

    return convert_name


def _is_choose(node: Node) -> bool:
    return not (node.is_list or node.is_mapping or node.is_empty) and str(node.raw.value).strip().lower() == "choose"


def _method(keys: Mapping) -> str | None:
    words: Callable[[str], str] = convert.one_of("direct", "transplant", "sets")
    found = keys.scalar("start", words, None)
    return "plant" if found == "sets" else found


def _cover(keys: Mapping, names: Names) -> CoverStep:
    node = keys.entries["cover"][1]
    if _is_choose(node):
        covers: tuple[str, ...] = ()
        _ = "cover" in keys
    else:
        covers = keys.items("cover", names.cover)
    return CoverStep(covers=covers, place=node.place, how=keys.scalar("how", convert.one_of(*HOWS), None),  # type: ignore[arg-type]
                     sown=_day(keys, "sown"), cut=_day(keys, "cut"),
                     save_seed=keys.scalar("save-seed", convert.yes_no, False))


def _mulch(keys: Mapping, names: Names) -> MulchStep:
    place = keys.entries["mulch"][1].place
    return MulchStep(material=keys.scalar("mulch", names.mulch), place=place, laid=_day(keys, "laid"))
