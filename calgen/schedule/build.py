"""Plan + Climate -> Schedule: spans, jobs on garden days, seed to order, frost bands, advice, tables."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from calgen.planner.cover_window import cover_windows
from calgen.planner.crop_window import crop_windows
from calgen.schedule.advice import bed_advice
from calgen.schedule.given import inputs
from calgen.schedule.job import jobs, order_jobs
from calgen.schedule.job_day import followed, job_days
from calgen.schedule.model import Band, BedSchedule, Note, Schedule, SeedLine, WindowLine, jobs_by_bed
from calgen.schedule.order_done import orders_done
from calgen.schedule.span import ground, label, spans

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Plan, Window
    from calgen.schedule.job_day import JobDays
    from calgen.schedule.model import Job
    from calgen.schedule.wording import Speaker
    from calgen.site.model import Site

DAY: Final = timedelta(1)
CROWDED_TOLD: Final = 4
RISKS: Final = (0.1, 0.25, 0.5, 0.75, 0.9)
SPARE_SEED: Final = 1.1
"""A tenth more than the sowings need, for bare patches in some of the beds. Judgement."""


def schedule(plan: Plan, climate: Climate, speaker: Speaker, made: date, stem: str) -> Schedule:
    """The dated, worded result of a plan.

    Args:
        made: the day of making.
        stem: the site file's name without ending; names the output folder.
    """
    site = plan.site
    seeds = seed_lines(plan, speaker)
    file = site.file.replace("\\", "/").rpartition("/")[2]
    plan = followed(plan)
    days = job_days(plan)
    all_jobs = sorted((*jobs(plan, days, speaker), *orders_done(order_jobs(plan, seeds, speaker), site.diary)),
                      key=lambda job: (job.on, job.bed, job.kind, job.key))
    by_bed = jobs_by_bed(all_jobs)
    beds = tuple(
        BedSchedule(bed.bed.name, str(number), ground(bed.bed.size, speaker),
                    spans(bed, plan.start, plan.end, speaker), bed_advice(bed, speaker),
                    _bed_cautions(by_bed.get(bed.bed.name, ())),
                    tuple(speaker.reason(reason) for reason in bed.years))
        for number, bed in enumerate(plan.beds, 1))
    return Schedule(
        site=site.name, stem=stem, language=site.language, units=site.units, made=made, start=plan.start,
        end=plan.end, beds=beds, jobs=tuple(all_jobs), last_frosts=bands(climate, plan.start, plan.end, last=True),
        first_frosts=bands(climate, plan.start, plan.end, last=False),
        daylength_h=tuple((day, climate.daylength_h(day)) for day in _weeks(plan.start, plan.end)),
        ten_hour=ten_hour_days(climate, plan.start, plan.end),
        climate_words=climate_words(climate, speaker),
        seeds=seeds,
        windows=window_lines(site_windows(site, climate, speaker.knowledge, _crops(plan), ("crop",)), speaker),
        notes=tuple(Note("note", f"{file}:{note.place.line}", speaker.bed_note(note.bed, note.reason))
                    for note in plan.notes) + crowded_notes(days, all_jobs, site, file, speaker),
        inputs=inputs(site), reminders=site.reminders, digest=site.digest, feed_address=site.feed_address)


def crowded_notes(days: JobDays, all_jobs: Iterable[Job], site: Site, file: str, speaker: Speaker) -> tuple[Note, ...]:
    """Days that hold more jobs than the grower can do, because windows leave no other; many in one note."""
    where, limit = f"{file}:{site.place.line}", site.jobs_per_day or 0
    if len(days.crowded) > CROWDED_TOLD:
        told = ", ".join(speaker.day(day) for day in days.crowded)
        return (Note("note", where, speaker.phrase("crowded-days", {"limit": limit, "count": len(days.crowded),
                                                                    "days": told})),)
    by_day = {day: ", ".join(job.title for job in all_jobs if job.on == day and job.bed and not job.done)
              for day in days.crowded}
    return tuple(Note("note", where, speaker.phrase("crowded-day", {"limit": limit, "date": day, "count": count,
                                                                    "jobs": by_day[day]}))
                 for day, count in days.crowded.items())


def _bed_cautions(found: Iterable[Job]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(job.caution for job in found if job.caution))


def climate_words(climate: Climate, speaker: Speaker) -> tuple[str, ...]:
    """How far the climate's answers may be off, each with what would make it better."""
    said = speaker.wording.said
    return tuple(
        speaker.phrase("error-better" if error.remedy else "error", {
            "what": said(error.what), "size": said(error.size), "remedy": said(error.remedy) if error.remedy else ""})
        for error in climate.errors)


def _weeks(start: date, end: date) -> list[date]:
    return [start + timedelta(days) for days in range(0, (end - start).days + 1, 7)]


def bands(climate: Climate, start: date, end: date, *, last: bool) -> tuple[Band, ...]:
    """Frost bands whose median falls within the chart; none in a frost-free place."""
    found = []
    season = climate.season_at(start - timedelta(200))
    while season.start < end:
        ask = climate.last_frost if last else climate.first_frost
        days = [ask(season, risk) for risk in RISKS]
        middle = days[2]
        if middle and start <= middle < end and all(days):
            ordered = sorted(day for day in days if day)
            found.append(Band(*ordered))
        season = climate.season_at(season.end + DAY)
    return tuple(found)


def ten_hour_days(climate: Climate, start: date, end: date) -> tuple[date, ...]:
    """Days within the chart on which daylength passes ten hours."""
    found: list[date] = []
    season = climate.season_at(start - timedelta(200))
    while season.start < end:
        found.extend(day for day in climate.ten_hour_days(season) if day and start <= day < end)
        season = climate.season_at(season.end + DAY)
    return tuple(sorted(set(found)))


def seed_lines(plan: Plan, speaker: Speaker) -> tuple[SeedLine, ...]:
    """Seed of covers to have in hand, all beds together, with a tenth for topping up; crops by name only. [g]"""
    grams: dict[str, float] = {}
    beds: dict[str, list[str]] = {}
    by: dict[str, date] = {}
    for bed in plan.beds:
        for timed in bed.tasks:
            if timed.kind not in ("sow", "undersow", "drill", "sow-indoors", "plant") or timed.best < plan.start \
                    or timed.best >= plan.end:
                continue
            for plant in timed.plants:
                grams[plant] = grams.get(plant, 0.0) + timed.seed_g.get(plant, 0.0) * SPARE_SEED
                names = beds.setdefault(plant, [])
                if bed.bed.name not in names:
                    names.append(bed.bed.name)
                by[plant] = min(by.get(plant, timed.best), timed.best)
    tin = dict(plan.site.seed_in_hand)
    return tuple(SeedLine(plant, label((plant,), "crop", speaker), round(grams[plant], 1), tuple(beds[plant]),
                          by[plant], tin.get(plant, 0.0))
                 for plant in sorted(grams, key=lambda plant: (by[plant], plant)))


def _crops(plan: Plan) -> tuple[str, ...]:
    return tuple(dict.fromkeys(plant for bed in plan.beds for piece in bed.pieces if piece.kind == "crop"
                               for plant in piece.plants))


def site_windows(site: Site, climate: Climate, knowledge: Knowledge, plants: Iterable[str],
                 kinds: Collection[str] = ("crop", "cover")) -> tuple[Window, ...]:
    """Windows of plants (crop or cover ids) in the growing years that the charted year touches, ended ones left out.

    A plant that is both crop and cover has the windows of both, unless only one of the ``kinds`` is asked for. Each
    plant, kind, season and method appears once: the first that ends after the chart begins.
    """
    found: dict[tuple[str, str, str, str], Window] = {}
    season = climate.season_at(site.chart_starts)
    for _ in range(2):
        for plant in plants:
            crop, cover = knowledge.crops.get(plant), knowledge.covers.get(plant)
            for window in (*(crop_windows(crop, climate, season) if crop and "crop" in kinds else ()),
                           *(cover_windows(cover, climate, season) if cover and "cover" in kinds else ())):
                if window.last >= site.chart_starts:
                    found.setdefault((plant, window.kind, window.season, window.method), window)
        season = climate.season_at(season.end + DAY)
    return tuple(sorted(found.values(), key=lambda window: (window.kind, window.plant, window.first, window.method)))


def window_lines(windows: Iterable[Window], speaker: Speaker) -> tuple[WindowLine, ...]:
    """Rows of the when-to-sow table."""
    return tuple(WindowLine(window.plant, label((window.plant,), window.kind, speaker), window.kind, window.season,
                            window.method, window.first, window.best, window.last, speaker.reason(window.why))
                 for window in windows)
