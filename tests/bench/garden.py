"""Site files of any size: the beds of the first demo site over and over, each copy some days later and renamed."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

DEMO = Path(__file__).parents[2] / "sites" / "withy-row.yaml"
BED = re.compile(r"^  \S[^\n]*:\n(?:    [^\n]*\n)+", re.MULTILINE)
STEPS_DAYS = 17
"""Copies are up to so many days later, so that no two neighbours ask the planner the very same."""


WANTED = ("tomato", "carrot", "onion", "courgette", "lettuce", "pea", "beetroot", "leek")


def garden(beds: int) -> str:
    """The text of a site file with so many beds; the demo site itself, but for its comments, with its own number."""
    head, _, rest = DEMO.read_text("utf-8").partition("\nbeds:\n")
    blocks = BED.findall(rest)
    return f"{head}\nbeds:\n" + "".join(_copied(blocks[number % len(blocks)], number, number // len(blocks))
                                        for number in range(beds))


def choosing(beds: int) -> str:
    """The same with a crop to choose at the end of each bed's order, of which eight in ten are wanted."""
    head, _, rest = garden(beds).partition("\nbeds:\n")
    wanted = ", ".join(f"{crop} {max(1, beds // 10)} beds" for crop in WANTED)
    open_ = "".join(f"{block}      - crop: choose\n" for block in BED.findall(rest))
    return f"{head}\nwanted: [{wanted}]\n\nbeds:\n{open_}"


def _copied(block: str, number: int, copy: int) -> str:
    later = timedelta(copy * 5 % STEPS_DAYS)
    moved = re.sub(r"\d{4}-\d\d-\d\d", lambda found: str(date.fromisoformat(found.group()) + later), block)
    return moved.replace(":", f" {number + 1}:", 1) if copy else moved
