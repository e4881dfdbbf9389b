"""The schedule as data, and the memory of the last build: plan.json, format 1.

``beds`` and ``jobs`` are for other programs; ``to`` of a span is the day after its last, ``to`` of a job the last day
of its window. ``memory`` is for the next build only.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, Final

from calgen.problems import InputError, Place, Problem
from calgen.render.plan_record import Broken, Record
from calgen.schedule.memory import ALL, Previous
from calgen.schedule.model import KINDS, Job, Memory, Stamp

if TYPE_CHECKING:
    from calgen.schedule.model import BedSchedule, Schedule, Span

FORMAT: Final = 1
MOST_DAYS: Final = 100_000
ADVICE: Final = "delete the file and build again (only the history is lost: past jobs, and what changed since)"


def plan_json(schedule: Schedule) -> bytes:
    """The file's bytes: UTF-8, one space of indent, everything in a fixed order, a line break at the end.

    Raises:
        ValueError: when the schedule has not been through ``calgen.schedule.memory.remembered``.
    """
    data = {
        "format": FORMAT,
        "site": schedule.site,
        "made": schedule.made.isoformat(),
        "inputs": _plain(schedule.inputs),
        "beds": [{"name": bed.name, "spans": _spans(bed)} for bed in schedule.beds],
        "jobs": [_job(job) for job in sorted(schedule.jobs, key=lambda job: (job.on, job.uid))],
        "notes": [{"level": note.level, "where": note.where, "text": note.text} for note in schedule.notes],
        "memory": _memory(schedule.memory, schedule.jobs),
    }
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    return text.encode("utf-8", "backslashreplace")


def read_plan_json(data: bytes, file: str) -> Previous:
    """What the last build left behind, from the bytes of its plan.json.

    Keys nobody knows are passed over, and a missing memory starts anew; what is there must be right.

    Raises:
        InputError: the file is broken, or of a later format; the problem tells where, and what to do about it.
    """
    try:
        record = Record.of(data)
        found = record.number("format", 1)
        if found != FORMAT:
            raise Broken("format", f"{found} is not {FORMAT}: the file comes from another version of calgen")
        memory = record.part("memory")
        stamps = {uid: _read_stamp(memory.part("stamps").part(uid)) for uid in memory.part("stamps").uids()}
        rests = memory.part("jobs")
        jobs = [_read_job(job, rests) for job in record.parts("jobs")]
        uids = [job.uid for job in jobs]
        if len(set(uids)) < len(uids):
            raise Broken("jobs", "the same uid stands twice")
        own = {job.uid: Stamp("", job.revision, job.changed) for job in jobs if job.changed}
        return Previous(
            site=record.text("site"),
            made=record.day("made"),
            inputs=record.given("inputs"),
            jobs=tuple(jobs),
            memory=Memory(
                plan=memory.uid("plan", ""),
                stamps={**own, **stamps},
                silent=_read_silent(memory.part("silent")),
            ),
        )
    except Broken as broken:
        place = Place(file, broken.line, broken.column)
        raise InputError([Problem(place, broken.where, f"{broken}; {ADVICE}")]) from None


def _read_job(job: Record, rests: Record) -> Job:
    uid = job.uid("uid")
    rest = rests.part(uid)
    seeds = job.part("seed_g")
    return Job(
        key=rest.text("key", ""),
        uid=uid,
        bed=job.text("bed"),
        kind=job.one_of("kind", KINDS),
        plants=job.texts("plants"),
        on=job.day("on"),
        first=job.day("from"),
        last=job.day("to"),
        latest=job.day("latest"),
        slack_days=job.number("slack_days", -MOST_DAYS),
        title=job.text("title"),
        text=job.text("text"),
        why=job.text("why"),
        next_step=rest.text("next_step", ""),
        how=rest.text("how", ""),
        caution=rest.text("caution", ""),
        seed_g={plant: seeds.amount(plant) for plant in seeds.values},
        quantity=rest.text("quantity", ""),
        last_call=rest.truth("last_call"),
        done=rest.truth("done"),
        revision=job.number("revision", 0),
        changed=job.moment("changed"),
        kept=rest.truth("kept"),
    )


def _read_stamp(stamp: Record) -> Stamp:
    return Stamp(stamp.text("content", ""), stamp.number("revision", 0), stamp.moment("changed"))


def _read_silent(silent: Record) -> dict[str, date]:
    for feed in silent.values:
        if feed not in (*KINDS, ALL):
            raise Broken(silent.path, f'"{feed}" is no feed')
    return {feed: silent.day(feed) for feed in silent.values}


def _spans(bed: BedSchedule) -> list[dict[str, object]]:
    return [_span(span) for span in sorted(bed.spans, key=lambda span: (span.start, span.to, span.lane, span.plants))]


def _span(span: Span) -> dict[str, object]:
    """A span; one that grows beneath or among another says so with ``lane``."""
    lane = {"lane": span.lane} if span.lane != "main" else {}
    return {
        "is": span.kind,
        "plants": list(span.plants),
        "from": span.start.isoformat(),
        "to": span.to.isoformat(),
        **lane,
    }


def _job(job: Job) -> dict[str, object]:
    if not job.uid or job.changed is None:
        raise ValueError(f"job {job.key} has no uid and stamp yet")
    return {
        "uid": job.uid,
        "bed": job.bed,
        "kind": job.kind,
        "plants": list(job.plants),
        "on": job.on.isoformat(),
        "from": job.first.isoformat(),
        "to": job.last.isoformat(),
        "latest": job.latest.isoformat(),
        "slack_days": job.slack_days,
        "seed_g": {plant: job.seed_g[plant] for plant in sorted(job.seed_g)},
        "title": job.title,
        "text": job.text,
        "why": job.why,
        "revision": job.revision,
        "changed": _moment(job.changed),
    }


def _memory(memory: Memory, jobs: tuple[Job, ...]) -> dict[str, object]:
    return {
        "plan": memory.plan,
        "jobs": {job.uid: _rest(job) for job in sorted(jobs, key=lambda job: job.uid)},
        "stamps": {uid: _stamp(memory.stamps[uid]) for uid in sorted(memory.stamps)},
        "silent": {feed: memory.silent[feed].isoformat() for feed in sorted(memory.silent)},
    }


def _rest(job: Job) -> dict[str, object]:
    """What a job has beside its public fields; a past job is shown again from both."""
    return {
        "key": job.key,
        "next_step": job.next_step,
        "how": job.how,
        "caution": job.caution,
        "quantity": job.quantity,
        "last_call": job.last_call,
        "done": job.done,
        "kept": job.kept,
    }


def _stamp(stamp: Stamp) -> dict[str, object]:
    return {"content": stamp.content, "revision": stamp.revision, "changed": _moment(stamp.changed)}


def _moment(moment: datetime) -> str:
    return f"{moment.astimezone(UTC).replace(tzinfo=None, microsecond=0).isoformat()}Z"


def _plain(value: object) -> Any:
    """Inputs as JSON has them: keys in order, tuples as lists, dates in ISO form."""
    if isinstance(value, Mapping):
        return {str(key): _plain(value[key]) for key in sorted(value, key=str)}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if value is None or isinstance(value, str | int | float):
        return value
    raise ValueError(f"no place in plan.json for {value!r}")
