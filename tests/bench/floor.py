"""The floor of a build: the drawing and the events that ``recorder.py`` wrote down, by reportlab and icalendar alone.

Every event of every feed is written through icalendar, as by a program that makes one calendar after the other. calgen
writes an event once for all feeds it is in, and a property once for all events that are alike in it.

    python tests/bench/floor.py OPERATIONS OUTPUT
"""

from __future__ import annotations

import pickle
import sys
from io import BytesIO
from pathlib import Path
from typing import Any

import icalendar
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas


def drawn(settings: dict[str, Any], calls: list[Any]) -> bytes:
    """A PDF from the calls on its canvas."""
    into = BytesIO()
    objects: list[Any] = [Canvas(into, **settings)]
    for number, name, paths, args, more in calls:
        result = getattr(objects[number], name)(*(objects[path] for path in paths), *args, **more)
        if name == "beginPath":
            objects.append(result)
    return into.getvalue()


def component(kind: str, added: list[Any], inner: list[Any]) -> Any:
    """A calendar, event or alarm with its properties."""
    made = getattr(icalendar, kind)()
    for args, more in added:
        made.add(*args, **more)
    for one in inner:
        made.add_component(component(*one))
    return made


def main(operations: str, output: str) -> None:
    """Write the documents and one file with all calendar lines."""
    fonts, documents, components = pickle.loads(Path(operations).read_bytes())
    for name, data in fonts:
        pdfmetrics.registerFont(TTFont(name, BytesIO(data), shapable=False))
    for number, (settings, calls) in enumerate(documents):
        (Path(output) / f"{number}.pdf").write_bytes(drawn(settings, calls))
    lines = [component(*one).to_ical(*args, **more) for one, args, more in components]
    (Path(output) / "all.ics").write_bytes(b"".join(lines))


if __name__ == "__main__":
    main(*sys.argv[1:])
