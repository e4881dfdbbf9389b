"""The fixed words on the wall chart. English here; a wording file gives them in other languages.

Names in braces are filled in: ``{day}`` a date, ``{days}`` two, ``{hours}`` a duration, distances with their unit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Mapping

    from calgen.render.fonts.face import Typesetter


def _job_words() -> Mapping[str, str]:
    return {
        "order-seed": "order seed", "sow": "sow", "undersow": "sow under the crop", "drill": "sow between the rows",
        "sow-indoors": "sow indoors", "harden-off": "harden off", "plant": "plant", "look": "look for bare patches",
        "top-up": "fill bare patches", "cut-down": "cut down", "clear": "clear", "gather-seed": "gather seed",
        "mulch": "lay mulch",
    }


class ChartWords(Struct, frozen=True):
    """Every fixed word of the chart."""

    subject: str = "Wall chart: what is in each bed through the year, and what to do when"
    made: str = "made {day}"
    sheet: str = "sheet {number} of {count}"
    all_beds: str = "every bed"
    daylight: str = "Daylight"
    longest: str = "longest day {hours}"
    shortest: str = "shortest day {hours}"
    under_ten: str = "under 10 h of daylight"
    frost: str = "Frost (0 °C)"
    last_frost: str = "last frost"
    first_frost: str = "first frost"
    middle_half: str = "half of all years {days}"
    eight_in_ten: str = "8 years in 10 {days}"
    band_key: str = "dark band: half of all years; pale band: 8 years in 10; dashes: the middle year"
    crop: str = "crop"
    grass: str = "grass cover"
    legume: str = "legume cover"
    brassica: str = "brassica cover"
    other: str = "other cover"
    mulch: str = "mulch"
    bare: str = "bare soil"
    under: str = "strip below a crop: grows under it"
    killed_likely: str = "frost likely kills it; lies as mulch"
    killed_unsure: str = "frost may kill it"
    goes_on: str = "goes on beyond the sheet"
    last_call: str = "line under a mark: until the last safe day"
    day_number: str = "number beside a mark: day of the month"
    done: str = "grey mark: done"
    jobs: Mapping[str, str] = field(default_factory=_job_words)
    read_from: str = ("Bed codes can be read from {code_distance}, names in the bars from {name_distance}, "
                      "dates at arm's length.")
    read_larger: str = "To read it from 2 m, print on larger paper or as tiles."
    numbered: str = "Numbers"
    beyond_start: str = "Ends just after the first day here"
    beyond_end: str = "Starts just before the last day here"
    full_names: str = "Names in full"
    font_missing: str = ("No font here has {characters}; codes stand in their place. "
                         "Name a font file in the chart style under fonts.")
    feed: str = "Reminders for your phone"
    notes: str = "Notes"
    more_notes: str = "Key and notes, continued"
    tile: str = "row {row} of {rows} · column {column} of {columns}"
    tile_how: str = "print at 100 %; cut left and top at the ticks, glue onto the ticks of the sheet before"
    tile_ruler: str = "measure: 50 mm"
    row_words: str = "{bed}: {spans}. {jobs}"


def drawable_words(words: ChartWords, typesetter: Typesetter) -> ChartWords:
    """The words, in English where no font has their letters."""
    english = ChartWords()
    texts = {name: typesetter.drawable(getattr(words, name), getattr(english, name))
             for name in ChartWords.__struct_fields__ if name != "jobs"}
    jobs = {kind: typesetter.drawable(words.jobs.get(kind, text), text) for kind, text in english.jobs.items()}
    return ChartWords(**texts, jobs=jobs)
