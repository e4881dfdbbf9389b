"""Writes down what a build asks of reportlab and icalendar, in a process of its own. Used by ``python tests/bench``.

    python tests/bench/recorder.py SITE.yaml OUTPUT OPERATIONS
"""

from __future__ import annotations

import pickle
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calgen.render import feed
from calgen.render.feed_event import alarm_properties, event_properties
from icalendar.cal.component import Component
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen import canvas as canvas_module

if TYPE_CHECKING:
    from collections.abc import Iterable
    from io import BytesIO

UNWRITTEN = {"setDateFormatter"}
"""Takes a function, which cannot be written down; it sets one entry of the document."""


@dataclass
class Log:
    """Calls on a canvas and its paths, each (which of them, method, paths among the arguments, the others)."""

    calls: list[tuple[int, str, tuple[int, ...], tuple[Any, ...], dict[str, Any]]] = field(default_factory=list)
    paths: int = 0


class Recorded:
    """Passes every public call on to a canvas, or a path begun on it, and writes it down."""

    def __init__(self, real: Any, log: Log, number: int = 0) -> None:
        self._real, self._log, self._number = real, log, number

    def __getattr__(self, name: str) -> Any:
        value = getattr(self._real, name)
        if name.startswith("_") or name in UNWRITTEN or not callable(value):
            return value

        def call(*args: Any, **more: Any) -> Any:
            paths = [arg for arg in args if isinstance(arg, Recorded)]
            plain = tuple(arg for arg in args if not isinstance(arg, Recorded))
            self._log.calls.append((self._number, name, tuple(path._number for path in paths), plain, more))
            result = value(*(path._real for path in paths), *plain, **more)
            if name != "beginPath":
                return result
            self._log.paths += 1
            return Recorded(result, self._log, self._log.paths)

        return call


class Recorder:
    """Stands for reportlab's fonts and canvas and for icalendar's components while a build runs."""

    def __init__(self) -> None:
        self.fonts: list[tuple[str, bytes]] = []
        self.documents: list[tuple[dict[str, Any], Log]] = []
        self.components: list[Any] = []
        self.events: dict[str, Any] = {}

    def watch(self) -> None:
        """From now on."""
        self._watch_canvas()
        self._watch_fonts()
        self._watch_components()

    def _watch_canvas(self) -> None:
        real = canvas_module.Canvas

        def canvas(into: BytesIO, **more: Any) -> Recorded:
            log = Log()
            self.documents.append((more, log))
            return Recorded(real(into, **more), log)

        canvas_module.Canvas = canvas

    def _watch_fonts(self) -> None:
        real = pdfmetrics.registerFont

        def register(font: Any) -> None:
            self.fonts.append((font.fontName, font.face._ttf_data))
            real(font)

        pdfmetrics.registerFont = register

    def _watch_components(self) -> None:
        add, add_component, to_ical = Component.add, Component.add_component, Component.to_ical
        known: dict[int, tuple[Any, list[Any], list[Any]]] = {}
        deep = [0]

        def of(component: Any) -> tuple[Any, list[Any], list[Any]]:
            return known.setdefault(id(component), (component, [], []))

        def outermost(real: Any, note: Any) -> Any:
            def call(component: Any, *args: Any, **more: Any) -> Any:
                if not deep[0]:
                    note(component, args, more)
                deep[0] += 1
                try:
                    return real(component, *args, **more)
                finally:
                    deep[0] -= 1
            return call

        def wanted(component: Any, args: Any, more: Any) -> None:
            self.components.append((_plain(of(component), of), args, more))

        Component.add = outermost(add, lambda it, args, more: of(it)[1].append((args, more)))
        Component.add_component = outermost(add_component, lambda it, args, _: of(it)[2].append(args[0]))
        Component.to_ical = outermost(to_ical, wanted)
        self._watch_events(deep)

    def _watch_events(self, deep: list[int]) -> None:
        """Events are kept as what they say, for the floor to add one property after the other."""
        real = feed.vevent

        def vevent(entry: Any) -> bytes:
            alarms = [("Alarm", [(one, {}) for one in alarm], []) for alarm in alarm_properties(entry)]
            event = ("Event", [(one, {}) for one in event_properties(entry)], alarms)
            self.events[entry.uid] = event
            deep[0] += 1
            try:
                return real(entry)
            finally:
                deep[0] -= 1

        feed.vevent = vevent


    def written(self, feeds: Iterable[Path]) -> list[Any]:
        """Everything for the floor to write: the heads of the calendars, and each event as often as it is in feeds."""
        uids = [line.removeprefix("UID:") for feed in feeds for line in feed.read_text("utf-8").splitlines()
                if line.startswith("UID:")]
        return [*self.components, *((self.events[uid], (), {"sorted": False}) for uid in uids)]


def _plain(known: tuple[Any, list[Any], list[Any]], of: Any) -> tuple[str, list[Any], list[Any]]:
    component, added, inner = known
    return type(component).__name__, list(added), [_plain(of(one), of) for one in inner]


def main(site: str, output: str, operations: str) -> None:
    """Build a site and keep what the libraries were asked."""
    recorder = Recorder()
    recorder.watch()
    from calgen.cli import main as calgen

    status = calgen(["build", site, "--out", output])
    assert status == 0, f"the build failed: {status}"
    documents = [(more, log.calls) for more, log in recorder.documents]
    components = recorder.written(sorted(Path(output).rglob("*.ics")))
    Path(operations).write_bytes(pickle.dumps((recorder.fonts, documents, components)))


if __name__ == "__main__":
    main(*sys.argv[1:])
