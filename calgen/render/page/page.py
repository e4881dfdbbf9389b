"""Schedule -> index.html: one file without script or outside resources, the next jobs first."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from calgen.render.day import days_of
from calgen.render.page.about import about_dates, downloads, notes
from calgen.render.page.bed_card import bed_cards
from calgen.render.page.hatch import hatches
from calgen.render.page.job_card import next_jobs, other_jobs, time
from calgen.render.page.key import key
from calgen.render.page.markup import Html, filled, joined, name, plain_filled, tag
from calgen.render.page.span_words import SpanWords
from calgen.render.page.style import content_policy, style_sheet
from calgen.render.page.subscribe import subscribe
from calgen.render.page.table import seed_table, window_tables
from calgen.render.page.year import year

if TYPE_CHECKING:
    from calgen.render.page.words import PageWords
    from calgen.schedule.model import Schedule

ICON: Final = ("data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'%3E"
               "%3Cpath d='M1 2h9v3H1zM5 7h10v3H5zM2 12h7v3H2z' fill='%231f6b43'/%3E%3C/svg%3E")


def written_page(schedule: Schedule, feeds: tuple[str, ...], words: PageWords) -> bytes:
    """See ``calgen.render.page.page_html``."""
    days = days_of(schedule)
    say = SpanWords(schedule, days, words)
    sections: list[tuple[str, str, Html]] = [
        ("next", words.next_jobs, next_jobs(schedule, days, words)),
        ("year", words.year, joined(tag("p", words.year_about, class_="quiet screen"), year(say), key(say))),
        ("beds", words.beds, bed_cards(say)),
        ("jobs", words.all_jobs, joined(tag("p", words.all_jobs_about), other_jobs(schedule, days, words))),
    ]
    if schedule.windows:
        sections.append(("when", words.when, joined(tag("p", words.when_about), window_tables(schedule, days, words))))
    if schedule.seeds:
        sections.append(("seed", words.seed, joined(tag("p", words.seed_about), seed_table(schedule, days, words))))
    sections += [
        ("reminders", words.reminders, subscribe(schedule, feeds, words)),
        ("downloads", words.downloads, downloads(words)),
        ("dates", words.sure, about_dates(say)),
        ("notes", words.notes, notes(schedule, words)),
    ]
    last = schedule.end - timedelta(days=1)
    made = time(schedule.made, days.full(schedule.made))
    body = tag(
        "body",
        tag("a", words.skip, href="#next", class_="skip"),
        hatches(),
        tag("header", tag("h1", name(schedule.site)),
            tag("p", filled(words.lead, first=time(schedule.start, days.full(schedule.start)),
                            last=time(last, days.full(last)), made=made)),
            tag("nav", tag("ul", (tag("li", tag("a", title, href=f"#{anchor}")) for anchor, title, _ in sections)),
                aria_label=words.sections)),
        tag("main", (tag("section", tag("h2", title, id=f"{anchor}-title"), inside, id=anchor,
                         aria_labelledby=f"{anchor}-title") for anchor, title, inside in sections)),
        tag("footer", tag("p", filled(words.foot, site=name(schedule.site), made=made))))
    html = tag("html", _head(schedule, words), body, lang=schedule.language,
               dir="rtl" if days.right_to_left else "ltr")
    return f"<!DOCTYPE html>\n{html}\n".encode()


def _head(schedule: Schedule, words: PageWords) -> Html:
    return tag(
        "head", tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=content_policy()),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("meta", name="referrer", content="no-referrer"),
        tag("meta", name="robots", content="noindex"),
        tag("title", plain_filled(words.title, site=schedule.site)),
        tag("link", rel="icon", href=ICON),
        tag("style", Html(style_sheet())))
