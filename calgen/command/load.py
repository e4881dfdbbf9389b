"""Reads a site with all it needs: names, climate, wording; and finds the templates."""

from __future__ import annotations

import sys
from functools import cached_property, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from calgen.plainfile import NotPlainError, opened
from calgen.problems import Faults, InputError, Place, Problem

if TYPE_CHECKING:
    from datetime import date

    from calgen.climate.climate import Climate
    from calgen.knowledge.model import Knowledge
    from calgen.planner.model import Plan
    from calgen.schedule.model import Schedule
    from calgen.schedule.wording import Speaker, Wording
    from calgen.site.model import Site
    from calgen.yamlfile import Mapping, Node

PACKAGE = Path(__file__).resolve().parent.parent
WORDING_MODULES = ("command/words.py", "schedule/wording.py", "schedule/wording_file.py", "render/chart/words.py",
                   "render/feed_words.py", "render/job_list.py", "render/page/words.py", "render/sheets/words.py")
"""Modules that a wording is made of."""


class Desk(Struct, frozen=True, dict=True):
    """A site with everything laid out to answer questions about it. Each part is made when first asked for."""

    path: Path
    site: Site
    templates: Path | None
    knowledge: Knowledge

    @cached_property
    def climate(self) -> Climate:
        """The site's climate, from what its file gives."""
        from calgen.climate.build import climate_of

        record = None
        if self.site.climate.record:
            from calgen.climate.read import read_record

            record = read_record(self.path.parent / self.site.climate.record)
        return climate_of(self.site, record)

    @cached_property
    def wording(self) -> Wording:
        """The texts of the site's language."""
        standard = _standard_wording()
        found = _wording(self.site, self.templates)
        if found == _template("wording-en.yaml", None):
            return standard
        from calgen.command.words import sections
        from calgen.schedule.wording_file import read_wording

        knowledge = self.knowledge
        known = (*knowledge.crops, *knowledge.covers, *knowledge.mulches)
        wording = read_wording(*found, standard, known, sections())
        regional = self.site.language.startswith(f"{wording.language}-")
        return replace(wording, language=self.site.language) if regional else wording

    @cached_property
    def speaker(self) -> Speaker:
        """The wording at work for this site."""
        from calgen.schedule.wording import Speaker

        return Speaker(self.wording, self.knowledge, self.site.units)

    @cached_property
    def plan(self) -> Plan:
        """The plan of all beds."""
        from calgen.planner.plan import plan

        return plan(self.site, self.climate, self.knowledge)

    def schedule(self, made: date) -> Schedule:
        """The schedule as made on a day, without memory of earlier builds."""
        from calgen.schedule.build import schedule

        return schedule(self.plan, self.climate, self.speaker, made, self.path.stem)


def desk(path: Path, templates: Path | None = None) -> Desk:
    """Read and check a site file.

    Raises:
        InputError: with every fault of the file.
    """
    return desk_of(file_bytes(path), path, templates)


def desk_of(data: bytes, path: Path, templates: Path | None = None) -> Desk:
    """The same from bytes that stand, or are to stand, in a file.

    Raises:
        InputError: with every fault of the file.
    """
    from calgen.knowledge.names import plant_names
    from calgen.site.diary import read_diary, with_diary
    from calgen.site.read import read_site

    if path.stem in (".", ".."):
        raise InputError([Problem(Place(str(path)), "", "has no name before .yaml to call its folder by; rename it")])
    knowledge = knowledge_of(data, path)
    names = plant_names(knowledge)
    site = read_site(data, str(path), names)
    diary = diary_path(path)
    if diary.exists():
        site = with_diary(site, read_diary(file_bytes(diary, "move it away"), str(diary), site, names))
    return Desk(path, site, templates, knowledge)


def knowledge_of(data: bytes, path: Path) -> Knowledge:
    """All crops and covers, with the grower's own that the bytes of a site file name or hold.

    Raises:
        InputError: with every fault of the own plants; those of the site file come after them.
    """
    from calgen.knowledge.own import with_own
    from calgen.knowledge.read import read_knowledge
    from calgen.site.own import own_plants

    faults = Faults()
    own = [keys for element in own_plants(data, str(path), faults) if (keys := _plant_keys(element, path, faults))]
    faults.stop_if_any()
    return with_own(read_knowledge(), own, faults) if own else read_knowledge()


def _plant_keys(element: Node, path: Path, faults: Faults) -> Mapping | None:
    from calgen.yamlfile import compose

    if element.is_mapping:
        return element.mapping()
    file = path.parent / element.raw.value.strip()
    try:
        return compose(_beginning(file), str(file), faults)
    except NotPlainError:
        element.fault(f'"{element.raw.value}" is no plain file; name one with a crop or cover')
    except OSError as error:
        element.fault(f'"{element.raw.value}" cannot be read ({error.strerror}); its place counts from this folder')
    except InputError:
        pass  # what is wrong is among the faults
    return None


def diary_path(path: Path) -> Path:
    """Where the diary of a site file lies: ``plot.diary.yaml`` beside ``plot.yaml``."""
    return path.with_name(f"{path.stem}.diary.yaml")


def file_bytes(path: Path, instead: str = "name a site file") -> bytes:
    """A file's bytes.

    Args:
        path: the file.
        instead: what to do when it is none.

    Raises:
        InputError: it is not there or cannot be read.
    """
    try:
        return _beginning(path)
    except IsADirectoryError:
        raise InputError([Problem(Place(str(path)), "", f"is a folder; {instead}")]) from None
    except NotPlainError:
        raise InputError([Problem(Place(str(path)), "", f"is no plain file; {instead}")]) from None
    except FileNotFoundError:
        raise InputError([Problem(Place(str(path)), "", "is not there; check the name")]) from None
    except OSError as error:
        raise InputError([Problem(Place(str(path)), "", f"cannot be read ({error.strerror})")]) from None


def _beginning(path: Path) -> bytes:
    """A file's bytes, as many as show that it is too large: what never ends is refused like what is merely long."""
    from calgen.yamlfile import MAX_BYTES

    with opened(path) as stream:
        return stream.read(MAX_BYTES + 1)


def template_folder() -> Path:
    """The shipped templates: inside the installed package, else beside it in a checkout."""
    inside = PACKAGE / "templates"
    return inside if inside.is_dir() else PACKAGE.parent / "templates"


def _wording(site: Site, own: Path | None) -> tuple[bytes, str]:
    """The wording of a site's language; that of the language alone serves a region (``de-at``) without its own."""
    for language in dict.fromkeys((site.language, site.language.partition("-")[0])):
        if found := _found(f"wording-{language}.yaml", own):
            return found
    known = sorted(path.stem.removeprefix("wording-") for path in template_folder().glob("wording-*.yaml"))
    what = f'no wording for "{site.language}"; known: {", ".join(known)}, or give one with --templates'
    raise InputError([Problem(site.place, "language", what)])


def _found(name: str, own: Path | None) -> tuple[bytes, str] | None:
    if own is not None and (own / name).exists():
        return file_bytes(own / name, "move it away"), str(own / name)
    shipped = template_folder() / name
    return (file_bytes(shipped), name) if shipped.is_file() else None


@lru_cache(maxsize=1)
def _standard_wording() -> Wording:
    """The English wording, which is complete."""
    from calgen.kept import kept
    from calgen.schedule.wording import Wording

    shipped = _template("wording-en.yaml", None)

    def read() -> Wording:
        from calgen.command.words import sections
        from calgen.knowledge.read import read_knowledge
        from calgen.schedule.wording_file import read_wording

        knowledge = read_knowledge()
        known = (*knowledge.crops, *knowledge.covers, *knowledge.mulches)
        return read_wording(*shipped, known_plants=known, fixed=sections())

    return kept("wording-en", Wording, [PACKAGE / module for module in WORDING_MODULES], read,
                sha256(shipped[0]).hexdigest())


def _template(name: str, own: Path | None) -> tuple[bytes, str]:
    found = _found(name, own)
    if found is None:
        raise InputError([Problem(Place(name), "", "the template is missing; install calgen anew")])
    return found


def template_bytes(name: str, own: Path | None) -> tuple[bytes, str]:
    """A template's bytes and name: the grower's own copy wins over the shipped one."""
    return _template(name, own)


def show_problems(error: InputError, written: str = "nothing was written") -> int:
    """Print every problem to standard error, with what became of the files, and return the exit status."""
    for problem in error.problems:
        print(problem, file=sys.stderr)
    count = sum(1 for problem in error.problems if problem.level == "error")
    print(f"{count} problem{'s' if count != 1 else ''}; {written}", file=sys.stderr)
    return 1
