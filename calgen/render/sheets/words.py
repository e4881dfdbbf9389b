"""The fixed words on the sheets. English here; a wording file gives them in other languages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.render.fonts.face import Typesetter


def _methods() -> Mapping[str, str]:
    return {"indoors": "sow indoors", "direct": "sow outdoors", "transplant": "plant out", "plant": "plant",
            "cover": "sow"}


def _seasons() -> Mapping[str, str]:
    return {"spring": "in spring", "summer": "later", "autumn": "for autumn", "overwinter": "over winter"}


class SheetWords(Struct, frozen=True):
    """Every fixed word of the sheets; names in braces are filled in."""

    title: str = "{site}: jobs, beds, seed"
    subject: str = "Jobs week by week, a card for each bed, seed to order, and when to sow"
    made: str = "made {day}"
    page: str = "{number} of {count}"
    feed: str = "Reminders for your phone"
    jobs: str = "Week by week"
    week: str = "Week from {day}"
    by: str = "by {day}"
    last_safe: str = "last safe day {day}"
    done: str = "done"
    caution: str = "Caution:"
    every_bed: str = "every bed"
    no_jobs: str = "Nothing is to be done in this year."
    findings: str = "To know beforehand"
    beds: str = "Bed cards"
    chain: str = "What follows what"
    crop: str = "crop"
    cover: str = "cover"
    mulch: str = "mulch"
    bare: str = "bare"
    under: str = "under the crop"
    killed_likely: str = "frost likely kills it from about {day}"
    killed_unsure: str = "frost may kill it from about {day}"
    killed_unlikely: str = "expected to stand the winter"
    why: str = "Why this choice"
    second: str = "Second choice"
    rejected: str = "Not taken"
    uncertain: str = "Not certain"
    years: str = "Year by year"
    bed_seed: str = "Seed and plants to bring"
    cautions: str = "Cautions"
    notes: str = "Notes"
    seed: str = "Seed to have in hand"
    seed_plant: str = "seed"
    seed_amount: str = "amount"
    seed_in_hand: str = "in hand"
    seed_to_order: str = "to order"
    seed_enough: str = "enough"
    seed_beds: str = "beds"
    seed_by: str = "needed by"
    no_seed: str = "No seed is to be ordered."
    windows: str = "When to sow and plant here"
    window_covers: str = "Covers"
    window_crops: str = "Crops"
    window_plant: str = "plant"
    window_how: str = "how"
    window_first: str = "from"
    window_best: str = "best"
    window_last: str = "until"
    window_why: str = "because"
    methods: Mapping[str, str] = field(default_factory=_methods)
    seasons: Mapping[str, str] = field(default_factory=_seasons)
    font_missing: str = ("No font here has {characters}; they stand as codes. "
                         "Name a font file in the chart style under fonts.")


def drawable_words(words: SheetWords, typesetter: Typesetter) -> SheetWords:
    """The words, in English where no font has their letters."""
    english = SheetWords()
    texts: dict[str, str] = {}
    named: dict[str, Mapping[str, str]] = {}
    for name in SheetWords.__struct_fields__:
        own, other = getattr(words, name), getattr(english, name)
        if isinstance(other, str):
            texts[name] = typesetter.drawable(own, other)
        else:
            named[name] = {key: typesetter.drawable(own.get(key, text), text) for key, text in other.items()}
    return replace(english, **texts, **named)
