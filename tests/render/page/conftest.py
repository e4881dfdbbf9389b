"""An invented plot for the page: ten beds over a year with covers, mixtures, undersown, bare and mulched ground."""

from __future__ import annotations

from datetime import date, timedelta
from math import cos, pi
from typing import TYPE_CHECKING, Any

import pytest
from calgen.schedule.model import (
    Advice,
    Band,
    BedSchedule,
    Job,
    Label,
    Note,
    Schedule,
    SeedLine,
    Span,
    WindowLine,
)
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Callable

START, END = date(2026, 9, 1), date(2027, 9, 1)


def day(text: str) -> date:
    """``9-26`` as the day of the plan's year: September to December 2026, the rest 2027."""
    if text.count("-") == 2:
        return date.fromisoformat(text)
    month, number = (int(part) for part in text.split("-"))
    return date(2026 if month >= 9 else 2027, month, number)


def crop(name: str, short: str, code: str, first: str, last: str, **other: Any) -> Span:
    return Span("crop", (name.lower().replace(" ", "-"),), Label(name, short, code), day(first), day(last), **other)


def cover(name: str, short: str, code: str, first: str, last: str, does: str, **other: Any) -> Span:
    plants = tuple(part.replace(" ", "-") for part in name.lower().split(" and "))
    return Span("cover", plants, Label(name, short, code), day(first), day(last), does=does, **other)  # type: ignore[arg-type]


def ground(kind: str, name: str, first: str, last: str) -> Span:
    return Span(kind, (name.lower(),), Label(name, name.rsplit(maxsplit=1)[-1], name[:2]), day(first), day(last))  # type: ignore[arg-type]


def advice(headline: str, *reasons: str) -> Advice:
    return Advice(
        headline, reasons,
        "Next best: crimson clover (score 61 against 74): it may not live through the winter here.",
        ("Not buckwheat: the first frost kills it within three weeks.", "Not white mustard: brassicas follow."),
        ("The frost dates are averages; one year in five lies outside.", "Ground cover is good to about 15 %."),
        ("Winter reached the cold that kills it in 9 of 30 years on record.",))


RYE_VETCH = advice(
    "Cereal rye and hairy vetch, sown about 26 September",
    "Covers about 70 % of the ground before growth stops in the middle of November.",
    "Lives through winters of −8 °C.", "Feeds the tomatoes: about 4 to 7 g nitrogen for each m².",
    "Deep roots open the clay.")

BEDS = (
    BedSchedule("Long bed", "1", "1.2 m × 6 m, 7.2 m²", (
        crop("Sweet corn", "Corn", "SC", "2026-05-16", "9-26"),
        cover("Cereal rye and hairy vetch", "Rye+vetch", "RV", "9-26", "4-24", "legume", killed="unlikely"),
        ground("mulch", "Own tops", "4-24", "5-22"), crop("Tomato", "Tom", "TO", "5-22", "2027-10-02")),
        (RYE_VETCH,), ("Vetch seed is not for eating; keep it from children and animals.",)),
    BedSchedule("North bed", "2", "1.2 m × 6 m, 7.2 m²", (
        crop("Leek", "Leek", "LE", "2026-06-06", "3-06"),
        cover("White clover", "Clover", "WC", "9-05", "4-17", "legume", lane="under", companion=True),
        crop("Early potato", "Potato", "PO", "4-17", "7-10"),
        cover("Phacelia", "Phac", "PH", "7-10", "2027-09-01", "other")),
        (advice("White clover under the leeks, sown about 5 September", "The leeks stand until March."),)),
    BedSchedule("Under the apple; north, wet", "3", "area 4.0 m²", (
        crop("Broad bean", "Bean", "BB", "2026-03-01", "9-05"), ground("bare", "Bare", "9-05", "9-12"),
        cover("White mustard", "Mustard", "WM", "9-12", "3-01", "brassica", killed="likely", killed_from=day("12-05")),
        ground("bare", "Bare", "3-01", "3-13"), crop("Parsnip", "Parsnip", "PA", "3-13", "2027-11-20")),
        (advice("White mustard, sown about 12 September", "Frost kills it; nothing to cut in spring."),)),
    BedSchedule("Brassicas", "4", "1.5 m × 4 m, 6.0 m²", (
        crop("Purple sprouting broccoli", "PSB", "PS", "2026-07-01", "4-10"),
        crop("Winter lettuce", "Lettuce", "LT", "9-12", "11-14", lane="under"),
        cover("Buckwheat", "Buckw", "BW", "6-01", "7-24", "other"),
        crop("Carrot", "Carrot", "CA", "7-24", "2027-12-01"))),
    BedSchedule("Carrot bed", "5", "8.0 m²", (
        crop("Carrot", "Carrot", "CA", "2026-06-20", "10-17"), ground("mulch", "Straw", "10-17", "4-03"),
        crop("Onion sets", "Onion", "ON", "4-03", "8-14"),
        cover("Field beans", "Beans", "FB", "8-28", "2028-03-20", "legume"))),
    BedSchedule("Bean row", "6", "0.8 m × 9 m, 7.2 m²", (
        crop("Runner bean", "Runner", "RB", "2026-05-20", "10-03"),
        cover("Winter wheat", "Wheat", "WW", "10-03", "4-24", "grass", killed="unsure", killed_from=day("1-20")),
        crop("Courgette", "Courg", "CO", "5-22", "2027-10-01")),
        (advice("Winter wheat, sown about 3 October", "Late sowing: the seed rate is a quarter higher."),)),
    BedSchedule("Pots by the door", "7", "6 pots of 30 l", (
        crop("Basil", "Basil", "BA", "2026-06-01", "9-20"), ground("bare", "Bare", "9-20", "9-24"),
        cover("Crimson clover", "Crimson", "CC", "9-24", "5-15", "legume"),
        crop("Chilli", "Chilli", "CH", "5-29", "2027-10-10"))),
    BedSchedule("حديقة المطبخ", "8", "5.0 m²", (
        crop("Chard", "Chard", "CD", "2026-06-10", "11-28"), ground("bare", "Bare", "11-28", "3-20"),
        crop("Pea", "Pea", "PE", "3-20", "7-03"), crop("Autumn cabbage", "Cabbage", "CB", "7-03", "2027-11-01"))),
    BedSchedule("菜园 <b>一</b>", "9", "5.0 m²", (
        crop("Squash", "Squash", "SQ", "2026-05-25", "10-10"),
        cover("Cereal rye", "Rye", "RY", "10-10", "5-01", "grass"),
        crop("Squash", "Squash", "SQ", "5-25", "2027-10-10"))),
    BedSchedule("Empty bed", "10", "2.0 m²", ()),
)


def job(bed: str, kind: str, when: str, title: str, **other: Any) -> Job:
    first = day(when)
    facts: dict[str, Any] = {
        "key": f"{bed}|{kind}|{when}", "uid": f"{len(title)}-{when}@calgen", "bed": bed, "kind": kind,
        "plants": ("cereal-rye",), "on": first, "first": first - timedelta(6), "last": first + timedelta(8),
        "latest": first + timedelta(8), "slack_days": 8, "title": title, "text": f"What to do: {title.lower()}.",
        "why": "The next crop needs the bed by then."}
    return Job(**{**facts, **other})


JOBS = (
    job("Under the apple; north, wet", "clear", "8-29", "Clear broad bean – Under the apple; north, wet",
        on=date(2026, 8, 29), first=date(2026, 8, 22), last=date(2026, 9, 8), latest=date(2026, 9, 8)),
    job("", "order-seed", "9-01", "Order seed – cereal rye, hairy vetch, white mustard",
        quantity="cereal rye 96 g, hairy vetch 20 g"),
    job("North bed", "undersow", "9-05", "Undersow white clover – North bed", quantity="white clover 18 g",
        last_call=True, text="18 g on 7.2 m² beneath the leek, 5–10 mm deep.",
        how="Hoe once more, scatter between the plants on moist soil, scratch in with a rake.",
        next_step="Look for bare patches one to two weeks on."),
    job("Under the apple; north, wet", "sow", "9-12", "Sow white mustard – Under the apple; north, wet",
        quantity="white mustard 12 g"),
    job("Brassicas", "plant", "9-12", "Plant winter lettuce – Brassicas", done=True),
    job("Long bed", "clear", "9-26", "Clear sweet corn – Long bed"),
    job("Long bed", "sow", "9-26", "Sow cereal rye and hairy vetch – Long bed",
        quantity="cereal rye 96 g, hairy vetch 20 g", last_call=True, seed_g={"cereal-rye": 96.0, "hairy-vetch": 20.0},
        caution="Vetch seed is not for eating; keep it from children and animals."),
    job("Bean row", "drill", "9-26", "Drill winter wheat between the rows – Bean row"),
    job("Long bed", "look", "10-10", "Look at cereal rye and hairy vetch – Long bed"),
    job("Long bed", "top-up", "10-10", "Top up cereal rye and hairy vetch – Long bed"),
    job("菜园 <b>一</b>", "sow", "10-10", "Sow cereal rye – 菜园 <b>一</b>"),
    job("Long bed", "mulch", "10-18", "Not sown? Mulch Long bed"),
    job("Long bed", "sow-indoors", "3-20", "Sow tomato indoors"),
    job("Under the apple; north, wet", "sow", "3-13", "Sow parsnip – Under the apple; north, wet"),
    job("North bed", "plant", "4-17", "Plant early potato – North bed"),
    job("Long bed", "cut-down", "4-24", "Cut cereal rye and hairy vetch at flowering – Long bed",
        caution="Gloves and shears; look for nests first; at dusk, when bees have left."),
    job("Long bed", "harden-off", "5-08", "Harden off tomato"),
    job("Long bed", "plant", "5-22", "Plant tomato – Long bed"),
    job("North bed", "gather-seed", "8-28", "Gather seed of phacelia – North bed"),
    job("حديقة المطبخ", "clear", "11-28", "Clear chard – حديقة المطبخ"),
    job("Brassicas", "clear", "9-19", "Clear an old crop – Brassicas", kept=True),
)


def window(name: str, kind: str, season: str, method: str, first: str, best: str, last: str) -> WindowLine:
    return WindowLine(name.lower(), Label(name, name, name[:2].upper()), kind, season, method, day(first), day(best),  # type: ignore[arg-type]
                      day(last), "Warm soil first, and time to ripen before the first frost.")


PLOT = Schedule(
    site="Tern Hill plots", stem="tern-hill", language="en", units="metric", made=date(2026, 9, 1), start=START,
    end=END, beds=BEDS, jobs=JOBS,
    last_frosts=(Band(day("4-10"), day("4-19"), day("4-28"), day("5-06"), day("5-14")),),
    first_frosts=(Band(day("10-04"), day("10-12"), day("10-19"), day("10-27"), day("11-05")),),
    # a cosine through the solstices' 16.7 and 7.7 h at 52.4° N (from memory); the page only has to show it
    daylength_h=tuple((START + timedelta(days), 12.2 - 4.5 * cos(2 * pi * (days - 111) / 365))
                      for days in range(0, 365, 7)),
    ten_hour=(day("10-26"), day("2-15")),
    climate_words=("Frost dates: given by the grower, as averages over years",
                   "Degree days: good to about 12 %; give monthly normals"),
    seeds=(SeedLine("cereal-rye", Label("Cereal rye", "Rye", "RY"), 1240.0, ("Long bed", "菜园 <b>一</b>"),
                    day("9-26")),
           SeedLine("white-clover", Label("White clover", "Clover", "WC"), 19.8, ("North bed",), day("9-05")),
           SeedLine("tomato", Label("Tomato", "Tom", "TO"), 0.0, ("Long bed",), day("3-20"))),
    windows=(window("Tomato", "crop", "summer", "transplant", "5-08", "5-22", "6-12"),
             window("Broad bean", "crop", "overwinter", "direct", "10-17", "11-01", "11-21"),
             window("Cereal rye", "cover", "overwinter", "cover", "8-20", "9-20", "10-24")),
    notes=(Note("note", "/home/jo/sites/tern-hill.yaml:31",
                'bed "North bed": the clover has four weeks before growth stops.'),
           Note("error", "sites/tern-hill.yaml:44", 'bed "Empty bed": nothing is planned.')),
    inputs={"latitude": 52.4, "chart-starts": "2026-09-01", "last-frost": "04-28", "first-frost": "10-19",
            "caution": 0.2},
    feed_address="https://plots.example.org/tern-hill/")

FEEDS = ("all.ics", "sow.ics", "undersow.ics", "cut-down.ics", "plant.ics", "import.ics")


@pytest.fixture
def plot() -> Schedule:
    """The plot, published on a web host."""
    return PLOT


@pytest.fixture
def plot_with() -> Callable[..., Schedule]:
    """The plot with fields replaced."""
    return lambda **other: replace(PLOT, **other)


@pytest.fixture
def page() -> Callable[..., Any]:
    """The page of a schedule as a tree; a mistake the HTML standard names is an error."""
    from calgen.render.page import page_html
    from html5lib import HTMLParser, getTreeBuilder

    def parsed(schedule: Schedule, *words: Any) -> Any:
        parser = HTMLParser(getTreeBuilder("etree"), strict=True, namespaceHTMLElements=False)
        tree = parser.parse(page_html(schedule, FEEDS, *words).decode("utf-8"))
        for element in tree.iter():
            element.tag = str(element.tag).removeprefix("{http://www.w3.org/2000/svg}")
        return tree

    return parsed


@pytest.fixture
def feed_names() -> tuple[str, ...]:
    """Files in ``feeds/``."""
    return FEEDS
