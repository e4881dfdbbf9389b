"""Seed to have in hand, and the site's table of when to sow and plant."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.pdf.day import day, number
from calgen.render.sheets.flow import GREY, Block, Cell, Row, heading, paragraph, row_block, tick_box

if TYPE_CHECKING:
    from collections.abc import Iterator

    from calgen.render.sheets.flow import Format
    from calgen.render.sheets.words import SheetWords
    from calgen.schedule.model import Schedule, SeedLine

OUNCE_G = 28.349523  # avoirdupois ounce, NIST Handbook 44, appendix C


def seed_blocks(schedule: Schedule, form: Format, words: SheetWords) -> Iterator[Block]:
    """One row a plant: box, name, amount for all beds, the beds, the day by which it is needed.

    With seed in the tin, two more columns: what is there, and what is left to order.
    """
    yield heading(form, words.seed, form.title, level=0, kind="H1", rule=False, new_page=True)
    if not schedule.seeds:
        yield paragraph(form, words.no_seed)
        return
    tin = any(line.in_hand_g > 0 for line in schedule.seeds)
    lefts = (0.035, 0.28, 0.4, 0.51, 0.63, 0.84) if tin else (0.035, 0.38, 0.56, 0.82)
    counts = (words.seed_amount, words.seed_in_hand, words.seed_to_order) if tin else (words.seed_amount,)
    titles = (words.seed_plant, *counts, words.seed_beds, words.seed_by)
    yield row_block(form, _row(lefts, titles, title=True), rule=True)
    for line in sorted(schedule.seeds, key=lambda line: (line.by, line.label.name)):
        amounts = (weight(line.grams, schedule), weight(line.in_hand_g, schedule), _to_order(line, schedule, words)) \
            if tin else (weight(line.grams, schedule),)
        texts = (form.typesetter.drawable(line.label.name, line.plant), *amounts, ", ".join(line.beds),
                 day(line.by, schedule, "yMMMd"))
        row = row_block(form, _row(lefts, texts), rule=True)
        yield Block((*tick_box(0.0, -0.5, 9.5, done=False), *row.items), row.height)


def _to_order(line: SeedLine, schedule: Schedule, words: SheetWords) -> str:
    if line.grams > 0 and line.to_order_g == 0:
        return words.seed_enough
    return weight(line.to_order_g, schedule)


def _row(lefts: tuple[float, ...], texts: tuple[str, ...], *, title: bool = False) -> Row:
    ends = (*lefts[1:], 1.0)
    return Row(tuple(Cell(text, left, end - left - (0.012 if end < 1 else 0.0))
                     for text, left, end in zip(texts, lefts, ends, strict=True)), title)


def weight(grams: float, schedule: Schedule) -> str:
    """A weight of seed in the grower's units: grams or kilograms; ounces or pounds with the grams beside.

    Nothing where no weight is known: seed that is bought by the packet, sets, plants.
    """
    if grams <= 0:
        return ""
    metric = f"{number(grams / 1000, schedule, 2)} kg" if grams >= 1000 else \
        f"{number(grams, schedule, 0 if grams >= 10 else 1)} g"
    if schedule.units != "us":
        return metric
    ounces = grams / OUNCE_G
    imperial = f"{number(ounces / 16, schedule, 2)} lb" if ounces >= 16 else \
        f"{number(ounces, schedule, 1 if ounces >= 1 else 2)} oz"
    return f"{imperial} ({metric})"


def window_blocks(schedule: Schedule, form: Format, words: SheetWords) -> Iterator[Block]:
    """When each plant can be started here, covers first: from, best, until, and why it ends there."""
    if not schedule.windows:
        return
    yield heading(form, words.windows, form.title, level=0, kind="H1", rule=False, new_page=True)
    for text in schedule.climate_words:
        yield paragraph(form, text, size=form.small, ink=GREY)
    lefts = (0.0, 0.19, 0.35, 0.45, 0.55, 0.65)
    titles = (words.window_plant, words.window_how, words.window_first, words.window_best, words.window_last,
              words.window_why)
    for kind, title in (("cover", words.window_covers), ("crop", words.window_crops)):
        lines = [line for line in schedule.windows if line.kind == kind]
        if not lines:
            continue
        yield heading(form, title, form.head, level=1, before=form.body * 0.6, rule=False)
        yield row_block(form, _row(lefts, titles, title=True), size=form.small, rule=True)
        previous = ""
        for line in sorted(lines, key=lambda line: (line.label.name, line.first, line.method)):
            name = form.typesetter.drawable(line.label.name, line.plant)
            days = [day(value, schedule) for value in (line.first, line.best, line.last)]
            how = ", ".join((words.methods.get(line.method, line.method), words.seasons.get(line.season, line.season)))
            texts = ("" if name == previous else name, how, *days, line.why)
            yield row_block(form, _row(lefts, texts), size=form.small, rule=True)
            previous = name
