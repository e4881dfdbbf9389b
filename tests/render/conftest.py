"""Invented schedules to draw (a plot of 14 beds through a year, and any number of beds made from them), and an
inspector of finished PDF files that sees what was painted and in which order."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from datetime import date, timedelta
from io import BytesIO
from itertools import pairwise
from math import acos, asin, cos, degrees, radians, sin

import pytest
from calgen.schedule.model import Advice, Band, BedSchedule, Job, Label, Note, Schedule, SeedLine, Span, WindowLine
from msgspec.structs import replace

START = date(2026, 9, 1)

# id: full name, short name, code, and for covers what they do
PLANTS = {line.split(":")[0].strip(): tuple(part.strip() for part in line.split(":")[1].split(",")) for line in """
rye: cereal rye, rye, RY, grass
oats: oats, oats, OA, grass
italian-ryegrass: Italian ryegrass, ryegrass, IR, grass
hairy-vetch: hairy vetch, vetch, HV, legume
field-beans: field beans, field beans, FB, legume
crimson-clover: crimson clover, crimson cl., CC, legume
white-clover: white clover, white cl., WC, legume
white-mustard: white mustard, mustard, MU, brassica
fodder-radish: fodder radish, radish, FR, brassica
phacelia: phacelia, phacelia, PH, other
buckwheat: buckwheat, buckwheat, BW, other
sweet-corn: sweet corn, corn, SC
tomato: tomatoes, tomatoes, TO
onion-sets: onions from sets, onions, ON
potato-early: early potatoes, potatoes, PO
leek: leeks, leeks, LE
carrot: carrots, carrots, CA
brussels-sprout: Brussels sprouts, sprouts, BS
kale: kale, kale, KA
lettuce: lettuces, lettuces, LT
spinach: spinach, spinach, SP
courgette: courgettes, courgettes, CO
garlic: garlic, garlic, GA
broad-bean: broad beans, broad beans, BB
runner-bean: runner beans, runner b., RB
beetroot: beetroot, beetroot, BE
parsnip: parsnips, parsnips, PA
winter-squash: winter squashes, squashes, SQ
cabbage: cabbages, cabbages, CB
pea: peas, peas, PE
radish: radishes, radishes, RA
celeriac: celeriac, celeriac, CE
""".strip().splitlines()}
INDOORS = {"tomato", "sweet-corn", "courgette", "winter-squash", "leek", "brussels-sprout", "cabbage", "celeriac",
           "kale", "lettuce"}

# name | ground, then what is in it: from (inclusive), to (exclusive), plants or "mulch" or "bare", and how
PLOT = """
Long bed | 7.2 m² · clay
  2026-05-16 2026-09-26 sweet-corn
  2026-09-26 2027-05-08 rye hairy-vetch
  2027-05-08 2027-05-29 bare
  2027-05-29 2027-10-10 tomato
By the shed | 5.4 m² · clay, wet
  2026-05-30 2026-10-03 courgette
  2026-10-03 2026-10-10 bare
  2026-10-10 2027-04-17 field-beans
  2027-04-17 2027-05-01 bare
  2027-05-01 2028-01-20 brussels-sprout
South wall | 3 m² · loam
  2026-05-30 2026-09-19 tomato
  2026-09-19 2027-03-06 white-mustard / likely 2026-12-01
  2027-03-06 2027-03-20 bare
  2027-03-20 2027-08-14 onion-sets
  2027-08-14 2027-11-20 phacelia
Hen run side | 6 m² · loam
  2026-06-13 2027-03-13 leek
  2026-07-25 2027-04-24 white-clover / under
  2027-04-24 2027-05-15 bare
  2027-05-15 2027-10-02 winter-squash
Root bed | 7.2 m² · sand
  2026-05-09 2026-10-10 carrot
  2026-08-29 2026-10-10 oats / under
  2026-10-10 2027-03-13 mulch
  2027-03-13 2027-03-20 bare
  2027-03-20 2027-07-10 potato-early
  2027-07-10 2027-08-21 buckwheat
  2027-08-21 2027-11-20 spinach
Garlic bed | 4 m²
  2026-07-18 2026-09-12 lettuce
  2026-09-12 2026-10-17 bare
  2026-10-17 2027-07-10 garlic
  2027-07-10 2027-07-17 bare
  2027-07-17 2027-11-13 fodder-radish
Bean row | 5 m² · chalk
  2026-05-23 2026-10-03 runner-bean
  2026-10-03 2027-04-24 rye
  2027-04-24 2027-05-22 bare
  2027-05-22 2027-09-25 sweet-corn
  2027-07-03 2028-04-20 crimson-clover / under
Kale corner | 6 m²
  2026-06-06 2027-04-03 kale
  2027-04-03 2027-04-10 bare
  2027-04-10 2027-07-17 pea
  2027-07-17 2027-09-11 buckwheat
Path bed | 4.8 m²
  2026-08-22 2026-11-07 spinach
  2026-11-07 2027-04-10 mulch
  2027-04-10 2027-08-21 carrot
  2027-08-21 2028-04-20 italian-ryegrass
Salad bed | 3.6 m²
  2026-08-15 2026-09-05 radish
  2026-09-05 2027-03-13 phacelia / unsure 2026-12-20
  2027-03-13 2027-03-20 bare
  2027-03-20 2027-04-24 radish
  2027-04-24 2027-06-12 lettuce
  2027-06-12 2027-10-02 beetroot
Top terrace | 8 m² · compacted
  2026-05-30 2026-10-24 cabbage
  2026-10-24 2027-05-15 rye
  2027-05-15 2027-06-05 bare
  2027-06-05 2028-03-01 leek
Pots by the door | 6 pots of 30 l
  2026-05-30 2026-10-03 tomato
  2026-10-03 2027-04-17 phacelia / unsure 2026-12-05
  2027-04-17 2027-05-22 bare
  2027-05-22 2027-10-02 courgette
Pond bed | 5 m² · peat
  2026-05-23 2026-11-14 celeriac
  2026-11-14 2027-04-17 mulch
  2027-04-17 2027-07-31 beetroot
  2027-07-31 2027-08-07 bare
  2027-08-07 2028-05-01 crimson-clover
Far bed | 9 m² · clay
  2026-04-11 2027-02-13 parsnip
  2027-02-13 2027-03-06 bare
  2027-03-06 2027-07-24 broad-bean
  2027-07-24 2027-07-31 bare
  2027-07-31 2027-10-30 white-mustard
"""


def label_of(plants: tuple[str, ...]) -> Label:
    """The label of a mixture or a single plant."""
    rows = [PLANTS[plant] for plant in plants]
    return Label(" with ".join(row[0] for row in rows), " + ".join(row[1] for row in rows), rows[0][2])


def span_of(line: str) -> Span:
    """A span from a line of the plot."""
    what, _, how = line.partition(" / ")
    start, to, *plants = what.split()
    days = date.fromisoformat(start), date.fromisoformat(to)
    if plants == ["mulch"]:
        return Span("mulch", (), Label("straw mulch", "mulch", "M"), *days)
    if plants == ["bare"]:
        return Span("bare", (), Label("bare soil", "bare", "B"), *days)
    does = PLANTS[plants[0]][3] if len(PLANTS[plants[0]]) == 4 else None
    word, _, killed_from = how.partition(" ")
    killed = word if word in ("likely", "unsure") else None
    return Span("cover" if does else "crop", tuple(plants), label_of(tuple(plants)), *days,
                "under" if word == "under" else "main", does, word == "under", killed,
                date.fromisoformat(killed_from) if killed else None)


def plot_beds() -> list[tuple[str, str, tuple[Span, ...]]]:
    """Name, ground and spans of each bed of the plot."""
    beds: list[tuple[str, str, list[Span]]] = []
    for line in PLOT.strip().splitlines():
        if line.startswith(" "):
            beds[-1][2].append(span_of(line.strip()))
        else:
            name, _, ground = line.partition(" | ")
            beds.append((name, ground, []))
    return [(name, ground, tuple(spans)) for name, ground, spans in beds]


# kind: title, how it is done, days until it is too late
WORK = {
    "sow": ("Sow", "Rake the surface loose, scatter evenly in two passes crosswise, rake in 2 cm deep and firm with "
            "the back of the rake. Water if the top is dry.", 16),
    "undersow": ("Undersow", "Scatter between the plants when their leaves are dry, then scratch in lightly.", 16),
    "look": ("Look over", "Count plants on a hand's breadth; fill gaps wider than two hands.", 4),
    "cut-down": ("Cut down", "Cut at ground level, leave the roots in and the tops lying. Wait until they have wilted "
                 "before you plant.", 10),
    "clear": ("Clear", "Cut the tops, leave what roots you can, carry off diseased leaves.", 12),
    "sow-indoors": ("Sow indoors:", "Two seeds a cell, 1 cm deep, at 18 °C or more.", 14),
    "harden-off": ("Harden off", "Out by day, in by night, for a week.", 3),
    "plant": ("Plant", "Water in well; 60 cm apart.", 14),
    "mulch": ("Lay", "Spread loosely, a hand deep; keep it off stems.", 14),
}
VETCH = "Vetch seed is poisonous to people and animals: keep it away from food and feed."


def bed_jobs(bed: BedSchedule) -> list[Job]:
    """The jobs that go with a bed's spans, as a planner would give them."""
    found: list[Job] = []

    def add(kind: str, span: Span, on: date, quantity: str = "") -> None:
        title, how, days = WORK[kind]
        sows_cover = span.kind == "cover" and kind in ("sow", "undersow")
        found.append(Job(
            key=f"{bed.code}/{kind}/{'-'.join(span.plants)}/{on.year}", uid=f"{bed.code}-{len(found)}@example.org",
            bed=bed.name, kind=kind, plants=span.plants, on=on, first=on - timedelta(days=4),
            last=on + timedelta(days=days), latest=on + timedelta(days=days), slack_days=days,
            title=f"{title} {span.label.name}", text=f"{title} {span.label.name} in {bed.name}.",
            why="so that the ground stays covered", how=how, quantity=quantity, last_call=sows_cover,
            seed_g={span.plants[0]: 120.0} if sows_cover else {}, done=on < date(2026, 9, 7),
            caution=VETCH if sows_cover and "hairy-vetch" in span.plants else ""))

    for span in bed.spans:
        if span.kind == "cover":
            add("undersow" if span.lane == "under" else "sow", span, span.start, f"{40 + 10 * len(span.label.name)} g")
            add("look", span, span.start + timedelta(days=11))
            add("clear" if span.killed == "likely" else "cut-down", span, span.to)
        elif span.kind == "crop" and span.plants[0] in INDOORS:
            add("sow-indoors", span, span.start - timedelta(days=42))
            add("harden-off", span, span.start - timedelta(days=9))
            add("plant", span, span.start, "12 plants")
        elif span.kind == "crop":
            add("sow", span, span.start, "8 g")
        elif span.kind == "mulch":
            add("mulch", span, span.start, "300 l")
        if span.kind == "crop":
            add("clear", span, span.to)
    return found


def daylength(day: date, latitude: float) -> float:
    """Hours of daylight, to some minutes: cosine declination, sun's upper limb at 0.833 degrees."""
    sun = -asin(0.39779 * cos(radians(0.98565 * ((day - date(day.year, 1, 1)).days + 10))))
    place = radians(latitude)
    angle = (sin(radians(-0.833)) - sin(place) * sin(sun)) / (cos(place) * cos(sun))
    return degrees(acos(max(-1.0, min(1.0, angle)))) / 7.5


def band(day: date, spread: float) -> Band:
    """A frost date with a normal spread around its middle year."""
    return Band(*(day + timedelta(days=round(z * spread)) for z in (-1.28, -0.67, 0, 0.67, 1.28)))


def advice_for(span: Span) -> Advice:
    """Reasons as long as real ones."""
    return Advice(
        f"{span.label.name}: sown {span.start:%-d %B}",
        ("Covers the ground before growth stops and holds it until cutting.",
         "Takes up what nitrogen the crop before has left; most of it is there again for the crop after."),
        "Second choice: oats. Dies in most winters and holds less nitrogen.",
        ("White clover: too late to establish after 5 September.", "White mustard: of the cabbages' family."),
        ("How hard the winter will be.",))


def plot(beds: int = 14, start: date = START, language: str = "en", **changes: object) -> Schedule:
    """A schedule of so many beds, the sample's dates moved so that its September falls on ``start``."""
    shift, end = start - START, date(start.year + 1, start.month, start.day)
    sample = plot_beds()
    rows = []
    for index in range(beds):
        name, ground, line = sample[index % len(sample)]
        spans = tuple(replace(span, start=span.start + shift, to=span.to + shift,
                              killed_from=span.killed_from and span.killed_from + shift) for span in line)
        again = f" {index // len(sample) + 1}" if index >= len(sample) else ""
        rows.append(BedSchedule(name + again, str(index + 1), ground, spans,
                                tuple(advice_for(span) for span in spans if span.kind == "cover"),
                                (VETCH,) if any("hairy-vetch" in span.plants for span in spans) else ()))
    needed = (("rye", 410.0, ("1", "7", "11"), 10), ("hairy-vetch", 60.0, ("1",), 10),
              ("field-beans", 95.0, ("2",), 24))
    seeds = tuple(SeedLine(plant, label_of((plant,)), grams, codes, start + timedelta(days=days))
                  for plant, grams, codes, days in needed)
    orders = [Job(key=f"order/{line.plant}", uid=f"order-{line.plant}@example.org", bed="", kind="order-seed",
                  plants=(line.plant,), on=line.by - timedelta(days=7), first=start, last=line.by, latest=line.by,
                  slack_days=7, title=f"Order {line.label.name}", text=f"Order {line.grams:.0f} g.",
                  why="so that it is there on the day", quantity=f"{line.grams:.0f} g") for line in seeds]
    windows = tuple(WindowLine(plant, label_of((plant,)), "cover", "autumn", "sown in the open",
                               start - timedelta(days=20), start + timedelta(days=5), start + timedelta(days=last),
                               "must cover the ground before growth stops")
                    for plant, last in (("rye", 50), ("hairy-vetch", 25), ("white-mustard", 10), ("field-beans", 60)))
    year = [start + timedelta(days=index) for index in range((end - start).days)]
    short = {day: daylength(day, 52.4) < 10 for day in year}
    turns = tuple(day for before, day in pairwise(year) if short[before] != short[day])
    jobs = [*orders, *(job for row in rows for job in bed_jobs(row))] if rows else []
    whole = Schedule(
        site="Tern Hill plots", stem="tern-hill", language=language, units="metric", made=start - timedelta(days=13),
        start=start, end=end, beds=tuple(rows),
        jobs=tuple(sorted((job for job in jobs if start <= job.on < end), key=lambda job: (job.on, job.key))),
        last_frosts=tuple(band(date(year, 4, 28), 12) for year in range(start.year, end.year + 1)),
        first_frosts=tuple(band(date(year, 10, 19), 11) for year in range(start.year, end.year + 1)),
        daylength_h=tuple((day, daylength(day, 52.4)) for day in year[::7]), ten_hour=turns,
        climate_words=("Frost dates as the grower gave them; warmth estimated from latitude and frost dates, good to "
                       "about 1.5 °C.",),
        seeds=seeds, windows=windows,
        notes=(Note("note", "bed 3", "The phacelia after the onions has little time."),), inputs={})
    return replace(whole, **changes)


@pytest.fixture
def make_plot():
    """The function that makes a schedule of so many beds."""
    return plot


@dataclass(frozen=True)
class Letter:
    """A character as painted: its place in the paint order, its text, baseline box and font size. [points]"""

    order: int
    text: str
    left: float
    baseline: float
    right: float
    size: float

    @property
    def core(self) -> tuple[float, float, float, float]:
        """The middle of the letter, where its ink is whatever its shape: left, bottom, right, top."""
        inset = (self.right - self.left) * 0.2
        return self.left + inset, self.baseline + self.size * 0.1, self.right - inset, self.baseline + self.size * 0.5


@dataclass(frozen=True)
class Ink:
    """What is on a page of a finished PDF, in paint order."""

    width: float
    height: float
    letters: tuple[Letter, ...]
    fills: tuple[tuple[int, tuple[float, float, float, float]], ...]
    strokes: tuple[tuple[float, float, float, float], ...]
    line_widths: frozenset[float]

    def hidden(self) -> list[str]:
        """Letters over which an opaque fill was painted later."""
        return [letter.text for letter in self.letters
                if any(order > letter.order and overlap(letter.core, box) for order, box in self.fills)]

    def collisions(self) -> list[tuple[str, str]]:
        """Pairs of letters whose middles lie on each other."""
        found = []
        ordered = sorted(self.letters, key=lambda letter: letter.core[0])
        for index, letter in enumerate(ordered):
            for other in ordered[index + 1:]:
                if other.core[0] >= letter.core[2]:
                    break
                if overlap(letter.core, other.core):
                    found.append((letter.text, other.text))
        return found

    def outside(self, margin: float) -> list[object]:
        """Letters and shapes that reach into the margin. [points]"""
        slack = 1.0  # half the width of the thickest line
        boxes = [(one.text, (one.left, one.baseline, one.right, one.baseline)) for one in self.letters]
        boxes += [("fill", box) for _, box in self.fills] + [("stroke", box) for box in self.strokes]
        return [(name, box) for name, box in boxes
                if box[0] < margin - slack or box[1] < margin - slack
                or box[2] > self.width - margin + slack or box[3] > self.height - margin + slack]


def overlap(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Whether two boxes share an area."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def inspected(data: bytes) -> list[Ink]:
    """Each page of a PDF file as ink, read by pdfminer.six."""
    from pdfminer.converter import PDFPageAggregator
    from pdfminer.layout import LTChar, LTContainer, LTCurve
    from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
    from pdfminer.pdfpage import PDFPage

    manager = PDFResourceManager()
    device = PDFPageAggregator(manager, laparams=None)
    interpreter = PDFPageInterpreter(manager, device)
    pages = []
    for page in PDFPage.get_pages(BytesIO(data)):
        interpreter.process_page(page)
        letters, fills, strokes, widths = [], [], [], set()
        order = 0
        waiting = [device.get_result()]
        while waiting:
            item = waiting.pop(0)
            order += 1
            if isinstance(item, LTChar):
                if item.get_text().strip():
                    letters.append(Letter(order, item.get_text(), item.x0, item.matrix[5], item.x1, item.size))
            elif isinstance(item, LTCurve):
                if item.fill:
                    fills.append((order, item.bbox))
                if item.stroke:
                    strokes.append(item.bbox)
                    widths.add(item.linewidth)
            elif isinstance(item, LTContainer):
                waiting[:0] = list(item)
        media = page.mediabox
        pages.append(Ink(media[2] - media[0], media[3] - media[1], tuple(letters), tuple(fills), tuple(strokes),
                         frozenset(widths)))
    return pages


@pytest.fixture
def ink_of():
    """The function that reads a finished PDF as ink."""
    return inspected


@pytest.fixture
def program():
    """The function that gives a program's name, or skips the test when it is not installed (fails under CI)."""
    def found(name: str) -> str:
        if shutil.which(name) is None:
            if os.environ.get("CI"):
                pytest.fail(f"{name} is not installed")
            pytest.skip(f"{name} is not installed")
        return name

    return found
