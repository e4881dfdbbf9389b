"""What an output folder was made from and holds, kept in it by content, so that unchanged sites can be passed over.

The note ``.calgen-made`` holds SHA-256 sums: of every file that was read (or looked for), of calgen itself with its
data and templates and what it rests on (versions of libraries, the system's fonts), and of every file that was written;
and the options. Same sums, nothing to do. It is no part of what was made: without it, or when it cannot be read, the
site is built.
"""

from __future__ import annotations

import json
import os
import sys
from contextlib import suppress
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final
from zlib import ZLIB_RUNTIME_VERSION

from calgen.output import NEW
from calgen.plainfile import opened

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from calgen.command.load import Desk

NOTE: Final = ".calgen-made"
_ENDINGS: Final = (".py", ".yaml", ".ttf", ".typed")
_LIBRARIES: Final = ("astral", "babel", "icalendar", "msgspec", "python_dateutil", "pyyaml", "reportlab", "tzdata")
"""Those whose versions can show in the bytes of a build, as the folders of what is installed spell them."""


@lru_cache(maxsize=1)
def program_sum() -> str:
    """The sum of calgen: its modules, its data and the templates it ships; and of the libraries and fonts it uses."""
    from calgen.command.load import PACKAGE, template_folder

    total = sha256()
    for folder in dict.fromkeys((PACKAGE, template_folder())):
        for path in sorted(path for path in folder.rglob("*") if path.suffix in _ENDINGS):
            data = path.read_bytes()
            total.update(f"{path.relative_to(folder).as_posix()} {len(data)} ".encode())
            total.update(data)
    total.update(repr((ZLIB_RUNTIME_VERSION, *_versions(), *_system_fonts())).encode("utf-8", "surrogateescape"))
    return total.hexdigest()


def _versions() -> list[str]:
    """The libraries that are installed, each with its version, by the folders that tell so; asking them would take a
    tenth of a second."""
    names = {name for folder in sys.path if os.path.isdir(folder) for name in os.listdir(folder)
             if name.endswith((".dist-info", ".egg-info"))}
    return sorted(name for name in names if name.partition("-")[0].lower().replace(".", "_") in _LIBRARIES)


def _system_fonts() -> Iterator[tuple[str, int, int]]:
    """The font files of the system, with size and time: which is used, if any, depends on what the others hold."""
    from calgen.render.fonts.system import font_files

    for path in font_files():
        with suppress(OSError):
            about = path.stat()
            yield str(path), about.st_size, about.st_mtime_ns


def unchanged(folder: Path, options: str) -> bool:
    """Whether the folder holds, whole, what would be made again now.

    Args:
        options: everything besides files that the outputs rest on.
    """
    try:
        with opened(folder / NOTE) as file:
            note = json.loads(file.read())
        return bool(note["options"] == options
                    and all(_sum(Path(name)) == value for name, value in note["read"].items())
                    and all(_sum(folder / name) == value for name, value in note["written"].items()))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False


def keep(folder: Path, options: str, read: Mapping[str, str | None], names: Iterable[str]) -> None:
    """Note what was made. A note that cannot be written costs a build next time, no more.

    Args:
        read: sums of what was read, taken before it was, so that an edit in the meantime is built next time.
        names: of the files that were made.
    """
    new = folder / f"{NOTE}-{os.getpid()}{NEW}"  # left by one killed, the next build sweeps it up
    with suppress(OSError):
        note = {"options": options, "read": read, "written": {name: _sum(folder / name) for name in names}}
        try:
            new.write_text(json.dumps(note, indent=1), "utf-8")
            os.replace(new, folder / NOTE)
        finally:
            new.unlink(missing_ok=True)


def read_first(path: Path, templates: Path | None) -> tuple[Path, ...]:
    """Every file that a site's outputs rest on, whether it is there or not, but for its record.

    Raises:
        InputError: the site file cannot be read at all.
    """
    from calgen.command.load import diary_path, file_bytes
    from calgen.problems import Faults
    from calgen.site.own import own_plants

    own = [path.parent / element.raw.value.strip() for element in own_plants(file_bytes(path), str(path), Faults())
           if not element.is_mapping]
    return (path, diary_path(path), *own, *(sorted(templates.glob("*.yaml")) if templates else ()))


def read_later(found: Desk, style: str) -> tuple[Path, ...]:
    """What is read only when it is asked for: a site's record of daily temperatures, the fonts that a style names.

    Raises:
        InputError: the style cannot be read.
    """
    from calgen.command.load import template_bytes
    from calgen.render.chart.style import read_style

    record = found.site.climate.record
    fonts = read_style(*template_bytes(f"{style}.yaml", found.templates)).fonts
    return (*((found.path.parent / record,) if record else ()), *(Path(font).expanduser() for font in fonts))


def sums(paths: Iterable[Path]) -> dict[str, str | None]:
    """The sum of each file as it is now; None for one that cannot be read."""
    return {str(path): _sum(path) for path in paths}


def _sum(path: Path) -> str | None:
    try:
        return sha256(path.read_bytes()).hexdigest() if path.is_file() else None
    except OSError:
        return None
