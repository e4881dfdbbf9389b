"""The words of the page: English here; another language fills the same fields.

Names in braces are filled in; a text without its brace leaves that part out. ``code`` in a text is set as typed matter
between backquotes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Mapping


def _kinds() -> Mapping[str, str]:
    return {
        "order-seed": "Order seed", "sow": "Sow", "undersow": "Sow under the crop", "drill": "Sow between the rows",
        "sow-indoors": "Sow indoors", "harden-off": "Harden off", "plant": "Plant", "look": "Look for bare patches",
        "top-up": "Fill bare patches", "cut-down": "Cut down", "clear": "Clear", "gather-seed": "Gather seed",
        "mulch": "Mulch",
    }


def _looks() -> Mapping[str, str]:
    return {
        "crop": "crop", "grass": "grass cover", "legume": "legume cover", "brassica": "brassica cover",
        "other": "other cover", "cover": "cover", "mulch": "mulch", "bare": "bare soil",
        "dead": "killed by frost, lies as mulch", "doubt": "frost may kill it",
    }


def _seasons() -> Mapping[str, str]:
    return {"spring": "in spring", "summer": "later", "autumn": "for autumn", "overwinter": "over winter"}


def _methods() -> Mapping[str, str]:
    return {
        "indoors": "sow indoors", "direct": "sow outdoors", "transplant": "plant out", "plant": "plant sets or tubers",
        "cover": "sow as a cover",
    }


def _inputs() -> Mapping[str, str]:
    return {
        "latitude": "Latitude, degrees", "chart-starts": "First day of the plan",
        "last-frost": "Last frost of spring, as given",
        "first-frost": "First frost of autumn, as given", "spread-days": "Spread of the frost dates, days",
        "winter-low-c": "Coldest night of an ordinary winter, °C", "warmest-month-c": "Mean of the warmest month, °C",
        "record": "Daily record", "caution": "Accepted loss to frost",
    }


class PageWords(Struct, frozen=True):
    """Every fixed word of the page."""

    skip: str = "Skip to the jobs"
    title: str = "{site}: what to do, bed by bed"
    lead: str = "Every bed from {first} to {last}. Made on {made}."
    sections: str = "Sections of this page"

    next_jobs: str = "Next jobs"
    next_about: str = "From {made}, three weeks on. Each job may be done any day within its window."
    still_open: str = "Still open from before"
    week: str = "Week of {day}"
    week_count: str = "{count} jobs"
    week_count_one: str = "1 job"
    nothing_soon: str = "Nothing to do before {day}."
    nothing_left: str = "No jobs are left in this plan."
    all_beds: str = "all beds"
    amount: str = "How much"
    window: str = "Window"
    window_days: str = "{first} to {last}"
    last_safe: str = "Last safe day"
    latest: str = "By"
    how: str = "How: {text}"
    next_step: str = "Next: {text}"
    caution: str = "Take care: {text}"
    why: str = "Why then: {text}"
    more: str = "How and why"
    frost_closes: str = "frost ends this window"
    done: str = "done"

    year: str = "The year"
    year_about: str = ("One strip for each bed, read from left to right. On a narrow screen it scrolls sideways. "
                       "The same in words stands with each bed below.")
    year_scroll: str = "The year of every bed, scrolls sideways"
    strip: str = "{bed}: {spans}"
    time_line: str = "Months from {first} to {last}. {frosts}"
    no_frost: str = "No frost to expect."
    last_frost: str = "last frost"
    first_frost: str = "first frost"
    band: str = "{what}: half of all years {first} – {last}"
    band_words: str = ("{what}: {first} to {last} in half of all years, {early} to {late} in 8 years of 10, "
                       "middle {middle}.")
    under_ten: str = "under 10 h of daylight"
    hours: str = "{hours} h"
    made_mark: str = "made"
    key: str = "Key"
    key_frost: str = "frost date of half of all years (dark), of 8 in 10 (pale), of the middle year (dashes)"
    key_edge: str = "goes on beyond the edge"

    beds: str = "Beds"
    span: str = "{what}, {kind}"
    from_to: str = "{first} to {last}"
    before: str = "until {last}"
    beyond: str = "from {first}, on to {last}"
    under: str = "under the crop"
    beside: str = "beside it"
    companion: str = "grows with the crop"
    killed_likely: str = "frost likely kills it from about {day}"
    killed_unsure: str = "frost may kill it from about {day}"
    killed_likely_undated: str = "frost likely kills it"
    killed_unsure_undated: str = "frost may kill it"
    bed_year: str = "The year in this bed"
    bed_reasons: str = "Why this"
    bed_more: str = "How sure, and what else was looked at"
    bed_next_best: str = "Next best"
    bed_rejected: str = "Left out"
    bed_uncertain: str = "How sure"
    bed_years: str = "Year by year"
    bed_cautions: str = "Take care"
    bed_jobs: str = "Jobs of this bed: {count}"
    no_cover: str = "No cover grows here in this year."
    nothing_here: str = "Nothing is planned here yet."

    all_jobs: str = "Other jobs"
    all_jobs_about: str = "Everything else, week by week."
    earlier: str = "Earlier"

    when: str = "When to sow"
    when_about: str = "For this place, from its frost, warmth and daylight. Between the first and the last day it fits."
    plant: str = "Plant"
    first: str = "First"
    best: str = "Best"
    last: str = "Last"
    reason: str = "Why"
    when_crops: str = "Crops"
    when_covers: str = "Covers"
    when_count: str = "{count} rows"

    seed: str = "Seed"
    seed_about: str = "For all beds together, with a little to spare for topping up."
    seed_caption: str = "Seed to have in hand"
    grams: str = "Amount"
    by: str = "By"
    where: str = "Beds"
    own_packet: str = "as the packet says"
    g: str = "{number} g"
    kg: str = "{number} kg"
    oz: str = "{number} oz"
    lb: str = "{number} lb"

    reminders: str = "Reminders"
    reminders_about: str = ("Subscribe once: the jobs then stand in your calendar and follow the plan when it changes. "
                            "Programs look for changes every few hours to once a day, some less often.")
    alarms: str = ("Some programs drop the alarms of a subscribed calendar: look in its settings for alerts, "
                   "or give the calendar an alert of its own.")
    by_phone: str = "On this phone or computer"
    by_phone_link: str = "Subscribe: {feed}"
    by_phone_about: str = "Opens the calendar program, which asks whether to subscribe."
    by_code: str = "With a phone's camera"
    by_code_label: str = "QR code of the subscription link for {feed}"
    by_paste: str = "By address"
    by_paste_about: str = ("For calendars on the web and programs that ask for an address: "
                           "add a calendar “from URL”, “from the web” or “subscribe”, and paste this.")
    by_import: str = "Once, without updates"
    by_import_link: str = "Download: {feed}"
    by_import_about: str = ("Import into a new calendar of its own. When the plan changes, delete that calendar and "
                            "import again.")
    feed_all: str = "All jobs"
    feeds_by_kind: str = "One kind of job at a time"
    feeds_by_kind_about: str = "Take these instead of all jobs, not beside them, or each job comes twice."
    no_address: str = "This plan has no address on the web yet, so a phone cannot subscribe to it. Two ways on:"
    no_address_import: str = "Download the jobs and import them once, as below."
    no_address_publish: str = ("Put this whole folder on any web host that serves plain files, write its address in "
                               "the site file as `feed-address: https://…`, and build again. This page then has the "
                               "links.")
    no_address_home: str = ("An address at home (a computer in your own network) is enough for calendar programs on "
                            "devices in that network. Google Calendar, Outlook on the web and Nextcloud as it comes "
                            "fetch from their own servers and cannot reach it.")
    home_address: str = ("This address works only inside your own network. Google Calendar, Outlook on the web and "
                         "Nextcloud as it comes fetch from their own servers and cannot reach it: for these, put the "
                         "folder on a web host, or import.")
    open_address: str = ("This address is not encrypted (http): some phones ask before they go on, and anyone on the "
                         "way can read it.")
    web_address: str = ("Google Calendar and Outlook on the web take the address by pasting only, in a browser; it "
                        "then shows on the phone as well.")

    downloads: str = "Downloads"
    wall_chart: str = "Wall chart"
    wall_chart_about: str = "the year of every bed on one sheet"
    sheets: str = "Sheets"
    sheets_about: str = "jobs to tick off, a card for each bed, seed to order"
    plan: str = "The plan as data"
    plan_about: str = "for other programs"

    sure: str = "How sure"
    made_on: str = "Made on"
    inputs_given: str = "What was given"
    frosts: str = "Frost dates used"
    how_sure: str = "How good they are"
    one_in: str = "{count} year in {years}"

    notes: str = "Notes"
    no_notes: str = "None."
    note: str = "{where}: {text}"
    error: str = "To put right: {where}: {text}"
    foot: str = ("{site}, made on {made}. Dates are advice for an ordinary year: look at the soil and the forecast "
                 "first.")

    kinds: Mapping[str, str] = field(default_factory=_kinds)
    looks: Mapping[str, str] = field(default_factory=_looks)
    seasons: Mapping[str, str] = field(default_factory=_seasons)
    methods: Mapping[str, str] = field(default_factory=_methods)
    inputs: Mapping[str, str] = field(default_factory=_inputs)
