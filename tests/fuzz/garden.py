"""Strange gardens that could be: every site file is meant to be right, or wrong in its dates or winter only."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

from calgen.knowledge.read import read_knowledge
from calgen.site.model import PURPOSES, SOIL_PROBLEMS, SOIL_TYPES

if TYPE_CHECKING:
    from random import Random

NAMES = (
    "Long bed", "..", ".", "a/b", "C:\\con", "<b>x</b>", "</script><script>alert(1)</script>", "سرير", "ベッド", "Ω≈ç",
    "🥕🥕", "a;b,c\\n", "BEGIN:VEVENT", "x" * 80, "%s {x} {", "O'Leary", 'say "hi"', "&lt;", "ﬁ", "e\u0301", "-", "~",
    "null", "../../etc/passwd", "feeds/all.ics", "#1", "грядка", "मिट्टी", "0", "javascript:alert(1)", "=1+1", "İ",
    "ẞ",
)
PLACES = (
    0.0, 5.0, -5.0, 12.3, 23.5, -23.5, 34.0, -34.0, 45.0, -45.0, 52.6, -52.6, 60.0, -60.0, 65.0, -65.0, 66.6, 70.0,
    -70.0,
)


def site_file(chance: Random) -> bytes:
    """A site file of one to six beds; JSON is YAML, which keeps every name as it is."""
    year = chance.choice((1950, 1999, 2024, 2026, 2026, 2026, 2099, 2149, 2150))
    starts = date(year, chance.randint(1, 12), 1)
    latitude = chance.choice(PLACES) if chance.random() < 0.6 else round(chance.uniform(-70, 70), 2)
    site: dict[str, object] = {"site": chance.choice(NAMES), "latitude": f"{latitude:g}",
                               "frost": _frost(chance, latitude < 0), "chart-starts": f"{starts:%Y-%m}"}
    if chance.random() < 0.4:
        site["winter-low"] = chance.choice(("-40", "-8", "0", "-70", "-1", "1"))
    if chance.random() < 0.4:
        site["warmest-month"] = chance.choice(("5", "12", "16.8", "30", "45", "10"))
    if chance.random() < 0.25:
        middle, swing = chance.uniform(-20, 30), chance.uniform(0, 25) * (-1 if latitude < 0 else 1)
        heat = [middle - swing * (abs(month - 6.5) - 3) / 3 for month in range(12)]
        site["climate"] = {"normals": [[f"{max(-59, min(50, low - 5)):.1f}", f"{max(-58, min(59, low + 5)):.1f}"]
                                       for low in heat]}
    for key, words in (("soil", SOIL_TYPES), ("caution", ("1 in 2", "1 in 5", "1 in 100", "0.5")),
                       ("units", ("us", "metric")), ("tools", ("hand", "tiller")), ("language", ("en", "de", "de-at")),
                       ("jobs-per-day", ("1", "2", "200")), ("digest", ("yes", "no")),
                       ("reminders", ("none", "both", "morning-of")), ("feed-address", ("https://x.example/<a>'&\"",)),
                       ("garden-days", (["Sat"], ["Mon", "Tue"], ["Sun", "Wed"]))):
        if chance.random() < 0.3:
            site[key] = chance.choice(words)
    known = read_knowledge()
    if chance.random() < 0.3:
        site["wanted"] = {crop: str(chance.randint(1, 3))
                          for crop in chance.sample(sorted(known.crops), chance.randint(1, 4))}
    if chance.random() < 0.2:
        site["seed-in-hand"] = {cover: chance.choice(("0 g", "1 g", "100 kg", "2 oz"))
                                for cover in chance.sample(sorted(known.covers), 2)}
    site["beds"] = {name: _bed(chance, starts, "wanted" in site)
                    for name in chance.sample(NAMES, chance.choice((1, 1, 2, 3, 6)))}
    return json.dumps(site, ensure_ascii=False, indent=1).encode()


def _frost(chance: Random, south: bool) -> object:
    if chance.random() < 0.15:
        return "none"
    spring, autumn = chance.randint(1, 200), chance.randint(201, 365)
    if chance.random() < 0.2:
        spring, autumn = chance.choice(((1, 365), (1, 366), (180, 184), (200, 205), (181, 182), (30, 60)))
    shift = 182 if south else 0
    last, first = (date(2025, 1, 1) + timedelta((day + shift) % 365) for day in (spring, autumn))
    found = {"last": f"{last.day} {last:%B}", "first": f"{first.day} {first:%B}"}
    if chance.random() < 0.2:
        found["spread"] = chance.choice(("2", "60", "15"))
    return found


def _bed(chance: Random, starts: date, wanted: bool) -> dict[str, object]:
    size = chance.choice((("size", "1.2 x 6 m"), ("size", "0.1 x 0.1 m"), ("size", "200 x 500 m"), ("area", "0.01 m2"),
                          ("area", "100000 m2"), ("pots", "1 x 0.2 l"), ("pots", "5000 x 2000 l"),
                          ("size", "4 x 20 ft")))
    bed: dict[str, object] = {size[0]: size[1], "order": _order(chance, starts, wanted)}
    if chance.random() < 0.4:
        bed["soil"] = chance.sample([*SOIL_PROBLEMS], chance.randint(0, 3))
    if chance.random() < 0.5:
        bed["needs"] = chance.sample([*PURPOSES], chance.randint(0, 4))
    if chance.random() < 0.3:
        bed["grew"] = {str(starts.year - 1): [chance.choice(sorted(read_knowledge().crops))]}
    return bed


def _order(chance: Random, starts: date, wanted: bool) -> list[dict[str, object]]:
    """Steps in the order of time, begun up to two years before or after the chart does, some many years long."""
    known = read_knowledge()
    day = starts + timedelta(chance.randint(-850, 400))
    steps: list[dict[str, object]] = []
    for _ in range(chance.choice((1, 2, 3, 3, 4, 6, 14))):
        kind = chance.random()
        dated = chance.random() < 0.4 and abs((day - starts).days) < 880
        if kind < 0.55:
            step: dict[str, object] = {"crop": chance.choice(sorted(known.crops))}
            if wanted and chance.random() < 0.2:
                step = {"crop": "choose"}
            elif dated:
                step[chance.choice(("sown", "planted"))] = day.isoformat()
                if chance.random() < 0.4:
                    step["cleared"] = (day + timedelta(chance.choice((1, 20, 90, 200, 500)))).isoformat()
            elif chance.random() < 0.3:
                step[chance.choice(("sow-by", "plant-by"))] = day.isoformat()
            if "crop" in step and step["crop"] != "choose":
                _extras(chance, step, steps, sorted(known.covers))
        elif kind < 0.92:
            step = {"cover": chance.choice(("choose", "choose", chance.choice(sorted(known.covers)),
                                            chance.sample(sorted(known.covers), 2)))}
            if dated:
                step["sown"] = day.isoformat()
            if chance.random() < 0.2:
                step["how"] = chance.choice(("cleared", "undersown", "between-rows"))
        else:
            step = {"mulch": chance.choice(("straw", "leaves", "compost"))}
        steps.append(step)
        day += timedelta(chance.choice((1, 15, 60, 120, 250)))
    return steps


def _extras(chance: Random, step: dict[str, object], before: list[dict[str, object]], covers: list[str]) -> None:
    if chance.random() < 0.1:
        step["days"] = chance.choice(("10", "60", "800"))
    if chance.random() < 0.1:
        step["with"] = chance.choice(covers)
    if chance.random() < 0.1:
        step["save-seed"] = "yes"
    if chance.random() < 0.1:
        step["start"] = chance.choice(("direct", "transplant", "sets"))
    if before and "crop" in before[-1] and chance.random() < 0.15:
        step["among"] = "yes"
