"""Every kind of input calgen reads: good texts of the kind, and what reads them.

A reader returns when it took the text and raises ``InputError`` when it refused it; anything else is a finding.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from calgen.climate.read import read_record
from calgen.command.load import desk_of, template_bytes, template_folder
from calgen.command.words import sections
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge
from calgen.render.chart.style import read_style
from calgen.render.feed_memory import feed_memory
from calgen.render.plan_json import read_plan_json
from calgen.schedule.wording_file import read_wording
from calgen.site.diary import read_diary, with_diary
from calgen.site.read import read_site
from tests.fuzz.built import built_files

if TYPE_CHECKING:
    from collections.abc import Callable

ROOT = Path(__file__).parents[2]
SITES = tuple(path.read_bytes() for path in sorted((ROOT / "sites").glob("*.yaml")))
DATA = ROOT / "calgen" / "knowledge" / "data"
PLOT = b"""site: Plot
latitude: 52
frost: {last: 28 April, first: 19 October}
chart-starts: September 2026
wanted: [tomato 2 beds]
plants: [own.yaml]
beds:
  Long bed:
    size: 1.2 x 6 m
    order: [{crop: courgette, planted: 2026-05-30}, {cover: choose}, {crop: choose}]
"""
BARE_PLOT = PLOT.replace(b"plants: [own.yaml]\n", b"")


@dataclass(frozen=True, slots=True)
class Kind:
    """Good texts of one kind, and what reads a text of it."""

    texts: tuple[bytes, ...]
    read: Callable[[bytes], object]


@cache
def _folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="calgen-fuzz-"))


def _record(data: bytes) -> object:
    path = _folder() / "nights.csv"
    path.write_bytes(data)
    return read_record(path, "nights.csv")


def _own_plant(data: bytes) -> object:
    (_folder() / "own.yaml").write_bytes(data)
    return desk_of(PLOT, _folder() / "plot.yaml")


def _site(data: bytes) -> object:
    return desk_of(data, _folder() / "site.yaml")


def _checked(data: bytes) -> object:
    return desk_of(data, _folder() / "site.yaml").plan


@cache
def _plot() -> object:
    return read_site(BARE_PLOT, "plot.yaml", plant_names(read_knowledge()))


def _diary(data: bytes) -> object:
    site = _plot()
    return with_diary(site, read_diary(data, "plot.diary.yaml", site, plant_names(read_knowledge())))


@cache
def _standard() -> object:
    known = read_knowledge()
    names = (*known.crops, *known.covers, *known.mulches)
    return read_wording(*template_bytes("wording-en.yaml", None), known_plants=names, fixed=sections()), names


def _wording(data: bytes) -> object:
    standard, names = _standard()
    return read_wording(data, "wording-xx.yaml", standard, names, sections())


def _days(line: Callable[[date, float, float], str], head: str) -> bytes:
    days = (date(2015, 1, 1) + timedelta(number) for number in range(0, 6 * 366))
    middle = ((day, 10 - 12 * (abs((day.timetuple().tm_yday - 200) / 182) * 2 - 1)) for day in days)
    return (head + "".join(line(day, heat - 5, heat + 5) for day, heat in middle)).encode()


RECORDS = (
    _days(lambda day, low, high: f"{day},{low:.1f},{high:.1f}\n", "date,tmin,tmax\n"),
    _days(lambda day, low, high: f"{day};{low:.1f};{high:.1f}\n".replace(".", ","), "date;tmin;tmax\n"),
    _days(lambda day, low, high: f"XX000000001,{day:%Y%m%d},TMIN,{low * 10:.0f},,,E,\n"
                                 f"XX000000001,{day:%Y%m%d},TMAX,{high * 10:.0f},,,E,\n", ""),
    _days(lambda day, low, high: f'"XX000000001","{day}","50.0","4.0","9",'
                                 f'"{high * 10:.0f}",",,E","{low * 10:.0f}",",,E"\n',
          '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"\n'),
)
NORMALS = SITES[0].replace(b"frost:", b"climate:\n  normals:\n" + b"".join(
    f"    - [{low}, {low + 8}]\n".encode() for low in (1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2)) + b"frost:", 1)
DIARY = b"""diary:
  - {on: 2026-09-12, bed: Long bed, done: cleared}
  - {on: 2026-09-13, bed: Long bed, done: sown, plant: white mustard, note: dry seedbed}
  - {on: 2026-10-01, bed: Long bed, done: failed, plant: [white mustard]}
  - {on: 2026-10-04, bed: Long bed, done: mulched}
  - on: 4 May 2027
    bed: long BED
    done: planted
    plant: tomato
  - {on: 2026-09-01, done: ordered, plant: cereal rye}
"""


def _templates(pattern: str) -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in sorted(template_folder().glob(pattern)))


def _plants() -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for part in ("crops", "covers")
                 for path in sorted((DATA / part).glob("*.yaml"))[::7])


@cache
def kinds() -> dict[str, Kind]:
    """All kinds by name."""
    files = built_files(BARE_PLOT)
    return {
        "site": Kind((*SITES, BARE_PLOT), _site),
        "normals": Kind((NORMALS,), _site),
        "checked": Kind((BARE_PLOT, NORMALS), _checked),
        "diary": Kind((DIARY,), _diary),
        "wording": Kind(_templates("wording-*.yaml"), _wording),
        "style": Kind(_templates("chart-*.yaml"), lambda data: read_style(data, "chart-own.yaml")),
        "own-plant": Kind(_plants(), _own_plant),
        "record": Kind(RECORDS, _record),
        "plan": Kind((files["plan.json"],), lambda data: read_plan_json(data, "plan.json")),
        "feed": Kind((files["feeds/all.ics"], files["feeds/import.ics"]), lambda data: feed_memory([data])),
    }
