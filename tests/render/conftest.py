"""Invented schedules to draw: a plot of 14 beds through a year, and any number of beds made from them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import acos, asin, cos, degrees, radians, sin

import pytest

from calgen.schedule.model import Advice, Band, BedSchedule, Job, Label, Note, Schedule, SeedLine, Span, WindowLine

START, END = date(2026, 9, 1), date(2027, 9, 1)

PLANTS = {
    "rye": ("cereal rye", "rye", "RY", "grass"), "oats": ("oats", "oats", "OA", "grass"),
    "italian-ryegrass": ("Italian ryegrass", "ryegrass", "IR", "grass"),
    "hairy-vetch": ("hairy vetch", "vetch", "HV", "legume"), "field-beans": ("field beans", "field beans", "FB", "legume"),
    "crimson-clover": ("crimson clover", "crimson cl.", "CC", "legume"),
    "white-clover": ("white clover", "white cl.", "WC", "legume"),
    "white-mustard": ("white mustard", "mustard", "MU", "brassica"),
    "fodder-radish": ("fodder radish", "radish", "FR", "brassica"), "phacelia": ("phacelia", "phacelia", "PH", "other"),
    "buckwheat": ("buckwheat", "buckwheat", "BW", "other"),
}
CROPS = {
    "sweet-corn": ("sweet corn", "corn", "SC"), "tomato": ("tomato", "tomato", "TO"), "onion-sets": ("onions from sets", "onions", "ON"),
    "potato-early": ("early potatoes", "potatoes", "PO"), "leek": ("leeks", "leeks", "LE"), "carrot": ("carrots", "carrots", "CA"),
    "brussels-sprout": ("Brussels sprouts", "sprouts", "BS"), "kale": ("kale", "kale", "KA"), "lettuce": ("lettuce", "lettuce", "LT"),
    "spinach": ("spinach", "spinach", "SP"), "courgette": ("courgettes", "courgettes", "CO"), "garlic": ("garlic", "garlic", "GA"),
    "broad-bean": ("broad beans", "broad beans", "BB"), "runner-bean": ("runner beans", "runner b.", "RB"),
    "beetroot": ("beetroot", "beetroot", "BE"), "parsnip": ("parsnips", "parsnips", "PA"), "winter-squash": ("winter squash", "squash", "SQ"),
    "cabbage": ("cabbages", "cabbage", "CB"), "pea": ("peas", "peas", "PE"), "radish": ("radishes", "radishes", "RA"),
    "celeriac": ("celeriac", "celeriac", "CE"),
}
INDOORS = {"tomato", "sweet-corn", "courgette", "winter-squash", "leek", "brussels-sprout", "cabbage", "celeriac", "kale", "lettuce"}

# bed: name, ground, [plants, start, to, options]; m = mulch, b = bare
PLOT = (
    ("Long bed", "7.2 m² · clay", (("sweet-corn", "2026-05-16", "2026-09-26"), ("rye hairy-vetch", "2026-09-26", "2027-05-08"),
                                   ("b", "2027-05-08", "2027-05-29"), ("tomato", "2027-05-29", "2027-10-10"))),
    ("By the shed", "5.4 m² · clay, wet", (("courgette", "2026-05-30", "2026-10-03"), ("field-beans", "2026-10-10", "2027-04-17"),
                                           ("b", "2026-10-03", "2026-10-10"), ("b", "2027-04-17", "2027-05-01"),
                                           ("brussels-sprout", "2027-05-01", "2028-01-20"))),
    ("South wall", "3 m² · loam", (("tomato", "2026-05-30", "2026-09-19"), ("white-mustard", "2026-09-19", "2027-03-06", "likely 2026-12-01"),
                                   ("onion-sets", "2027-03-20", "2027-08-14"), ("b", "2027-03-06", "2027-03-20"),
                                   ("phacelia", "2027-08-14", "2027-11-20"))),
    ("Hen run side", "6 m² · loam", (("leek", "2026-06-13", "2027-03-13"), ("white-clover", "2026-07-25", "2027-04-24", "under"),
                                     ("b", "2027-04-24", "2027-05-15"), ("winter-squash", "2027-05-15", "2027-10-02"))),
    ("Root bed", "7.2 m² · sand", (("carrot", "2026-05-09", "2026-10-10"), ("oats", "2026-08-29", "2026-10-10", "under"),
                                   ("m", "2026-10-10", "2027-03-13"), ("potato-early", "2027-03-20", "2027-07-10"),
                                   ("b", "2027-03-13", "2027-03-20"), ("buckwheat", "2027-07-10", "2027-08-21"),
                                   ("spinach", "2027-08-21", "2027-11-20"))),
    ("Garlic bed", "4 m²", (("lettuce", "2026-07-18", "2026-09-12"), ("b", "2026-09-12", "2026-10-17"), ("garlic", "2026-10-17", "2027-07-10"),
                            ("fodder-radish", "2027-07-17", "2027-11-13"), ("b", "2027-07-10", "2027-07-17"))),
    ("Bean row", "5 m² · chalk", (("runner-bean", "2026-05-23", "2026-10-03"), ("rye", "2026-10-03", "2027-04-24"),
                                  ("b", "2027-04-24", "2027-05-22"), ("sweet-corn", "2027-05-22", "2027-09-25"),
                                  ("crimson-clover", "2027-07-03", "2028-04-20", "under"))),
    ("Kale corner", "6 m²", (("kale", "2026-06-06", "2027-04-03"), ("b", "2027-04-03", "2027-04-10"), ("pea", "2027-04-10", "2027-07-17"),
                             ("buckwheat", "2027-07-17", "2027-09-11"))),
    ("Path bed", "4.8 m²", (("spinach", "2026-08-22", "2026-11-07"), ("m", "2026-11-07", "2027-04-10"),
                            ("carrot", "2027-04-10", "2027-08-21"), ("italian-ryegrass", "2027-08-21", "2028-04-20"))),
    ("Salad bed", "3.6 m²", (("radish", "2026-08-15", "2026-09-05"), ("phacelia", "2026-09-05", "2027-03-13", "unsure 2026-12-20"),
                             ("radish", "2027-03-20", "2027-04-24"), ("lettuce", "2027-04-24", "2027-06-12"),
                             ("beetroot", "2027-06-12", "2027-10-02"), ("b", "2027-03-13", "2027-03-20"))),
    ("Top terrace", "8 m² · compacted", (("cabbage", "2026-05-30", "2026-10-24"), ("rye", "2026-10-24", "2027-05-15"),
                                         ("b", "2027-05-15", "2027-06-05"), ("leek", "2027-06-05", "2028-03-01"))),
    ("Pots by the door", "6 pots of 30 l", (("tomato", "2026-05-30", "2026-10-03"), ("phacelia", "2026-10-03", "2027-04-17", "unsure 2026-12-05"),
                                            ("courgette", "2027-05-22", "2027-10-02"), ("b", "2027-04-17", "2027-05-22"))),
    ("Pond bed", "5 m² · peat", (("celeriac", "2026-05-23", "2026-11-14"), ("m", "2026-11-14", "2027-04-17"),
                                 ("beetroot", "2027-04-17", "2027-07-31"), ("crimson-clover", "2027-08-07", "2028-05-01"),
                                 ("b", "2027-07-31", "2027-08-07"))),
    ("Far bed", "9 m² · clay", (("parsnip", "2026-04-11", "2027-02-13"), ("b", "2027-02-13", "2027-03-06"), ("broad-bean", "2027-03-06", "2027-07-24"),
                                ("white-mustard", "2027-07-31", "2027-10-30"), ("b", "2027-07-24", "2027-07-31"))),
)


def names(plants: tuple[str, ...], kind: str) -> Label:
    """The label of a mixture or a single plant."""
    if kind == "mulch":
        return Label("straw mulch", "mulch", "M")
    if kind == "bare":
        return Label("bare soil", "bare", "B")
    table = [PLANTS.get(plant) or CROPS[plant] for plant in plants]
    if len(table) == 1:
        return Label(*table[0][:3])
    return Label(" with ".join(row[0] for row in table), " + ".join(row[1] for row in table), table[0][2])


def span(what: str, start: str, to: str, options: str = "") -> Span:
    """A span from a row of the plot."""
    kind = {"m": "mulch", "b": "bare"}.get(what)
    plants = () if kind else tuple(what.split())
    kind = kind or ("cover" if plants[0] in PLANTS else "crop")
    does = None
    if kind == "cover":
        kinds = [PLANTS[plant][3] for plant in plants]
        does = kinds[0]
    words = options.split()
    killed = words[0] if words and words[0] in ("likely", "unsure") else None
    return Span(kind, plants, names(plants, kind), date.fromisoformat(start), date.fromisoformat(to),
                "under" if "under" in words else "main", does, "under" in words, killed,
                date.fromisoformat(words[1]) if killed else None)


def bed_jobs(code: str, bed: BedSchedule) -> list[Job]:
    """The jobs that go with a bed's spans, as a planner would give them."""
    found: list[Job] = []

    def job(kind: str, one: Span, on: date, days: int, text: str, how: str, **more: object) -> None:
        found.append(Job(f"{code}/{kind}/{'-'.join(one.plants)}/{on.year}", f"{code}-{kind}-{len(found)}@example.org", bed.name, kind,  # type: ignore[arg-type]
                         one.plants, on, on - timedelta(days=4), on + timedelta(days=days), on + timedelta(days=days), days,
                         f"{text} {one.label.name}", f"{text} {one.label.name} in {bed.name}.", "so that the ground stays covered",
                         how=how, **more))  # type: ignore[arg-type]

    for one in bed.spans:
        if one.kind == "cover":
            kind = "undersow" if one.lane == "under" else "sow"
            job(kind, one, one.start, 16, "Sow" if kind == "sow" else "Undersow",
                "Rake the surface loose, scatter evenly in two passes crosswise, rake in 2 cm deep and firm with the back of the rake. "
                "Water if the top is dry.", quantity=f"{40 + 10 * len(one.label.name)} g", seed_g={one.plants[0]: 120.0}, last_call=True,
                done=one.start < date(2026, 9, 7),
                caution="Vetch seed is poisonous to people and animals: keep it away from food." if "hairy-vetch" in one.plants else "")
            job("look", one, one.start + timedelta(days=11), 4, "Look over", "Count plants on a hand's breadth; fill gaps wider than two hands.")
            if one.killed == "likely":
                job("clear", one, one.to, 20, "Rake off dead", "Rake the dead mulch aside and plant through it.")
            else:
                job("cut-down", one, one.to, 10, "Cut down", "Cut at ground level, leave the roots in and the tops lying. "
                    "Wait until they have wilted before you plant.")
        elif one.kind == "crop":
            if one.plants[0] in INDOORS:
                job("sow-indoors", one, one.start - timedelta(days=42), 14, "Sow indoors:", "Two seeds a cell, 1 cm deep, at 18 °C or more.")
                job("harden-off", one, one.start - timedelta(days=9), 3, "Harden off", "Out by day, in by night, for a week.")
                job("plant", one, one.start, 14, "Plant", "Water in well; 60 cm apart.", quantity="12 plants")
            else:
                job("sow", one, one.start, 21, "Sow", "In rows 30 cm apart, 2 cm deep.", quantity="8 g")
            job("clear", one, one.to, 12, "Clear", "Pull or cut the tops, leave what roots you can, carry off diseased leaves.")
        elif one.kind == "mulch":
            job("mulch", one, one.start, 14, "Lay", "Spread loosely, a hand deep; keep it off stems.", quantity="300 l")
    return found


def daylength(day: date, latitude: float) -> float:
    """Hours of daylight, to some minutes: cosine declination, sun's upper limb with refraction at 0.833 degrees."""
    declination = -asin(0.39779 * cos(radians(0.98565 * ((day - date(day.year, 1, 1)).days + 10))))
    angle = (sin(radians(-0.833)) - sin(radians(latitude)) * sin(declination)) / (cos(radians(latitude)) * cos(declination))
    return degrees(acos(max(-1.0, min(1.0, angle)))) / 7.5


def band(day: date, spread: float) -> Band:
    """A frost date with a normal spread around its middle year."""
    return Band(*(day + timedelta(days=round(z * spread)) for z in (-1.28, -0.67, 0, 0.67, 1.28)))


def plot(beds: int = 14, start: date = START, language: str = "en", **changes: object) -> Schedule:
    """A schedule of so many beds, the sample's dates moved so that its September falls on ``start``."""
    shift = start - START
    end = date(start.year + 1, start.month, start.day)
    rows = []
    jobs: list[Job] = []
    for index in range(beds):
        name, ground, row = PLOT[index % len(PLOT)]
        again = index // len(PLOT)
        name = f"{name} {again + 1}" if again else name
        spans = tuple(replace(one, start=one.start + shift, to=one.to + shift,
                              killed_from=one.killed_from + shift if one.killed_from else None)
                      for one in sorted((span(*item) for item in row), key=lambda one: one.start))
        advice = tuple(Advice(
            f"{one.label.name}: sown {one.start:%d %B}", ("covers the ground before growth stops", "holds nitrogen over winter"),
            "oats: dies in most winters, less nitrogen held", ("white clover: too late to establish after 5 September",
                                                               "white mustard: same family as the cabbages before"),
            ("how hard the winter will be",)) for one in spans if one.kind == "cover")
        bed = BedSchedule(name, str(index + 1), ground, spans, advice, ("Keep vetch seed from children and animals.",))
        rows.append(bed)
        jobs.extend(bed_jobs(bed.code, bed))
    seeds = (SeedLine("rye", Label(*PLANTS["rye"][:3]), 410.0, ("1", "7", "11"), start + timedelta(days=10)),
             SeedLine("hairy-vetch", Label(*PLANTS["hairy-vetch"][:3]), 60.0, ("1",), start + timedelta(days=10)),
             SeedLine("field-beans", Label(*PLANTS["field-beans"][:3]), 95.0, ("2",), start + timedelta(days=24)))
    for line in seeds:
        jobs.append(Job(f"order/{line.plant}", f"order-{line.plant}@example.org", "", "order-seed", (line.plant,), line.by - timedelta(days=7),
                        start, line.by, line.by, 7, f"Order {line.label.name}", f"Order {line.grams:.0f} g of {line.label.name}.",
                        "so that it is there on the day", quantity=f"{line.grams:.0f} g"))
    windows = tuple(WindowLine(plant, Label(*PLANTS[plant][:3]), "cover", "autumn", "sown in the open", start - timedelta(days=20),
                               start + timedelta(days=5), start + timedelta(days=last), "must cover the ground before growth stops")
                    for plant, last in (("rye", 50), ("hairy-vetch", 25), ("white-mustard", 10), ("phacelia", 8), ("field-beans", 60)))
    days = [start + timedelta(days=7 * week) for week in range(53)]
    lengths = tuple((day, daylength(day, 52.4)) for day in days)
    year = [start + timedelta(days=index) for index in range((end - start).days)]
    turns = tuple(after for before, after in zip(year, year[1:]) if (daylength(before, 52.4) < 10) != (daylength(after, 52.4) < 10))
    whole = Schedule(
        "Tern Hill plots", "tern-hill", language, "metric", start - timedelta(days=13), start, end, tuple(rows),
        tuple(sorted((job for job in jobs if start <= job.on < end), key=lambda job: (job.on, job.key))),
        tuple(band(date(year, 4, 28), 12) for year in range(start.year, end.year + 1)),
        tuple(band(date(year, 10, 19), 11) for year in range(start.year, end.year + 1)), lengths, turns,
        ("Frost dates as the grower gave them; warmth estimated from latitude and frost dates, good to about 1.5 °C.",),
        seeds, windows, (Note("note", "bed 3", "The phacelia after the onions has little time."),), {}, feed_address=None)
    return replace(whole, **changes)  # type: ignore[arg-type]


@pytest.fixture
def make_plot():
    """The function that makes a schedule of so many beds."""
    return plot
