"""What moves between two plans of a site, in words: each old job is the same, moved, done, or gone and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from calgen.command.load import Desk
    from calgen.schedule.model import Job
    from calgen.schedule.wording import Speaker

WAYS = {"sow": "cleared", "undersow": "undersown", "drill": "between-rows"}
SOWINGS = tuple(WAYS)
ROTATION = ("note-rotation", "note-disease")


def moves(before: Desk, after: Desk) -> list[str]:
    """Lines for every job that is not the same in both plans: moved, done, gone and new."""
    from calgen.schedule.change import job_changes

    day = before.site.chart_starts
    was, now = ({job.key: job for job in found.schedule(day).jobs} for found in (before, after))
    renamed = _renamed(was, now)
    now = {renamed.get(key, key): job for key, job in now.items()}
    changes = job_changes([replace(job, uid=key) for key, job in was.items()],
                          [replace(job, uid=key) for key, job in now.items()], frozenset())
    fresh = [now[change.uid] for change in changes.new]
    lines = [_moved(was[change.uid], now[change.uid], after.speaker) for change in changes.moved]
    lines += [f"done: {change.title}: {after.speaker.day(now[change.uid].on)}" for change in changes.done]
    for change in changes.gone:
        job = was[change.uid]
        lines.append(f"gone: {job.title} ({after.speaker.day(job.on)}); {_why_gone(job, fresh, after)}")
    lines += [f"new: {job.title} ({after.speaker.day(job.on)})" for job in fresh]
    return lines


def _renamed(was: dict[str, Job], now: dict[str, Job]) -> dict[str, str]:
    """Keys of the new plan that stand for a job of the old one which only fell into another year: new key to old."""
    found: dict[str, str] = {}
    left = [job for key, job in was.items() if key not in now]
    for key, job in now.items():
        if key in was:
            continue
        same = [old for old in left if (old.bed, old.kind, old.plants) == (job.bed, job.kind, job.plants)
                and ("-fallback" in old.key) == ("-fallback" in job.key)]
        if same:
            nearest = min(same, key=lambda old: abs((old.on - job.on).days))
            left.remove(nearest)
            found[key] = nearest.key
    return found


def _moved(old: Job, new: Job, speaker: Speaker) -> str:
    words = f"{speaker.day(new.on)} stays" if old.on == new.on else f"{_shift(old.on, new.on, speaker)}"
    if old.latest != new.latest:
        words += f"; last safe day {speaker.day(old.latest)} -> {speaker.day(new.latest)}"
    return f"moved: {new.title}: {words}"


def _shift(old: date, new: date, speaker: Speaker) -> str:
    days = (new - old).days
    return f"{speaker.day(old)} -> {speaker.day(new)}, {abs(days)} day{'s' if abs(days) != 1 else ''} " \
           f"{'later' if days > 0 else 'earlier'}"


def _why_gone(job: Job, fresh: Sequence[Job], after: Desk) -> str:
    kinds = SOWINGS if job.kind in SOWINGS else (job.kind,)
    instead = [entry.title for entry in fresh if entry.bed == job.bed and entry.kind in kinds]
    if job.kind in SOWINGS and not instead:
        instead = [entry.title for entry in fresh if entry.bed == job.bed and entry.kind == "mulch"]
    refused = _refusal(job, after) if job.kind in SOWINGS else ""
    if instead:
        return f"instead: {', '.join(instead)}" + (f" ({refused})" if refused else "")
    plan = next((bed for bed in after.plan.beds if bed.bed.name == job.bed), None)
    tasks = [timed for timed in plan.tasks if timed.kind == job.kind and timed.plants == job.plants] if plan else []
    beyond = [timed.best for timed in tasks if not after.plan.start <= timed.best < after.plan.end]
    if beyond:
        return f"it falls outside the chart now, on {after.speaker.full_day(beyond[0])}"
    if job.kind in (*SOWINGS, "plant", "top-up"):
        return f"no longer safe{': ' + refused if refused else ''}"
    if job.kind == "mulch":
        return "no longer needed"
    named = [timed.kind for timed in (plan.tasks if plan else ()) if set(timed.plants) & set(job.plants)]
    return "no longer needed" if any(kind in (*SOWINGS, "plant") for kind in named) \
        else f"it goes with {after.speaker.listed(job.plants)}"


def _refusal(job: Job, after: Desk) -> str:
    """Why the new plan does not take the plants of a job: a refusal, or a note on the bed."""
    for bed in after.plan.beds:
        if bed.bed.name != job.bed:
            continue
        for choice in bed.choices:
            if WAYS[job.kind] in choice.slot.hows:
                for entry in choice.ranking.rejected:
                    if entry.covers == job.plants and entry.reasons:
                        return after.speaker.reason(entry.reasons[0]).rstrip(".")
        for note in bed.notes:
            if note.reason.facts.get("crop") in job.plants and note.reason.key not in ROTATION:
                return after.speaker.reason(note.reason).rstrip(".")
    return ""
