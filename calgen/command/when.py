"""``calgen when``: when each plant can be started at a site."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from calgen.command.load import Desk
    from calgen.planner.model import Window

HELP = "tell when plants can be sown or planted at a site"
EXAMPLE = "calgen when sites/my-plot.yaml tomato 'white mustard'"


def arguments(parser: argparse.ArgumentParser) -> None:
    """What the command takes."""
    parser.add_argument("site", type=Path, metavar="SITE.yaml")
    parser.add_argument("plants", nargs="*", metavar="PLANT", help="crops or covers by any name (default: all)")
    parser.add_argument("--json", action="store_true", help="print JSON only")
    parser.add_argument("--templates", type=Path, metavar="DIR", help="folder with your own wording")


def run(args: argparse.Namespace) -> int:
    """Print the windows."""
    from calgen.command.load import desk, show_problems
    from calgen.problems import InputError
    from calgen.schedule.build import site_windows

    try:
        found = desk(args.site, args.templates)
        windows = site_windows(found.site, found.climate, found.knowledge, _asked(args.plants, found))
        told = _json(windows, found) if args.json else _text(windows, found)
    except InputError as error:
        return show_problems(error)
    print(told)
    return 0


def _asked(words: list[str], found: Desk) -> tuple[str, ...]:
    from calgen.knowledge.names import plant_names
    from calgen.problems import InputError, Place, Problem

    if not words:
        return (*found.knowledge.crops, *(cover for cover in found.knowledge.covers
                                          if cover not in found.knowledge.crops))
    names = plant_names(found.knowledge)
    ids: list[str] = []
    problems = []
    for word in words:
        known = names.all_named(word)
        ids.extend(known)
        if not known:
            try:
                names.grown(word)
            except ValueError as error:
                problems.append(Problem(Place(str(found.path)), "", f'"{word}" {error}'))
    if problems:
        raise InputError(problems)
    return tuple(dict.fromkeys(ids))


def _json(windows: tuple[Window, ...], found: Desk) -> str:
    import json

    rows = [{"plant": window.plant, "is": window.kind, "season": window.season, "method": window.method,
             "from": window.first.isoformat(), "best": window.best.isoformat(), "to": window.last.isoformat(),
             "why": found.speaker.reason(window.why)} for window in windows]
    climate = {"level": found.climate.level,
               "errors": [{"what": error.what, "size": error.size, "remedy": error.remedy}
                          for error in found.climate.errors]}
    return json.dumps({"format": 1, "site": found.site.name, "climate": climate, "windows": rows}, ensure_ascii=False,
                      indent=1)


def _text(windows: tuple[Window, ...], found: Desk) -> str:
    from calgen.schedule.build import climate_words, window_lines

    speaker = found.speaker
    lines: list[str] = []
    before = None
    both = {window.plant for window in windows if window.kind == "crop"} \
        & {window.plant for window in windows if window.kind == "cover"}
    for row in window_lines(windows, speaker):
        if (row.kind, row.plant) != before:
            apart = f", {speaker.wording.word(f'as-{row.kind}')}" if row.plant in both else ""
            lines.append(f"{row.label.name}{apart}")
            before = row.kind, row.plant
        season = speaker.wording.word(f"season-{row.season}") if (row.kind, row.season) != ("cover", "summer") else ""
        method = speaker.wording.word(f"method-{row.method}")
        lines.append(f"  {season:<11} {method:<14} {speaker.day(row.first):>12} – {speaker.day(row.last):<12} "
                     f"best {speaker.day(row.best)}")
        lines.append(f"  {'':<26} {row.why}")
    lines.extend(f"note: {text}"
                 for text in climate_words(found.climate, speaker))
    return "\n".join(lines)
