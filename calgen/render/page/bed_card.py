"""A card for each bed: its year in words, the reasons for its covers, cautions, and its jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calgen.render.page.hatch import swatch
from calgen.render.page.job_card import fold, time
from calgen.render.page.markup import Html, capital, filled, joined, name, tag

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.render.page.span_words import SpanWords
    from calgen.schedule.model import Advice, BedSchedule, Job


def bed_cards(say: SpanWords) -> Html:
    """All cards, in the order of the beds."""
    return tag("div", (_card(number, bed, say) for number, bed in enumerate(say.schedule.beds, 1)), class_="cards")


def _card(number: int, bed: BedSchedule, say: SpanWords) -> Html:
    words = say.words
    spans = tag("ol", (tag("li", swatch(say.look(span)), tag("span", say.sentence(span), dir="auto"))
                       for span in bed.spans), class_="spans")
    jobs = [job for job in say.schedule.jobs_of(bed) if not job.kept]
    return tag(
        "article", tag("h3", name(bed.name), id=f"bed-{number}-name"), tag("p", bed.ground, class_="quiet", dir="auto"),
        (tag("h4", words.bed_year), spans) if bed.spans else tag("p", words.nothing_here),
        [_advice(advice, say) for advice in bed.advice],
        (tag("h4", words.bed_years), _list(bed.years)) if bed.years else None,
        None if any(span.kind == "cover" for span in bed.spans) or bed.advice or not bed.spans
        else tag("p", words.no_cover, class_="quiet"),
        (tag("h4", words.bed_cautions), _list(bed.cautions, "caution")) if bed.cautions else None,
        fold(str(filled(words.bed_jobs, count=str(len(jobs)))), _jobs(jobs, say)) if jobs else None,
        id=f"bed-{number}", class_="card", aria_labelledby=f"bed-{number}-name")


def _advice(advice: Advice, say: SpanWords) -> Html:
    words = say.words
    more = [joined(tag("p", title, class_="label"), _list(texts)) for title, texts in (
        (words.bed_years, advice.years), (words.bed_uncertain, advice.uncertain),
        (words.bed_next_best, (advice.runner_up,) if advice.runner_up else ()),
        (words.bed_rejected, advice.rejected)) if texts]
    return joined(
        tag("h4", advice.headline, dir="auto"),
        (tag("p", words.bed_reasons, class_="label"), _list(advice.reasons)) if advice.reasons else None,
        fold(words.bed_more, *more) if more else None)


def _list(texts: Iterable[str], look: str | None = None) -> Html:
    return tag("ul", (tag("li", name(capital(text))) for text in texts), class_=look)


def _jobs(jobs: Iterable[Job], say: SpanWords) -> Html:
    return tag("ol", (tag("li", time(job.on, say.days.weekday(job.on)), " ", tag("span", job.title, dir="auto"),
                          tag("span", say.words.done, class_="badge") if job.done else None)
                      for job in sorted(jobs, key=lambda job: (job.on, job.kind))), class_="plain")
