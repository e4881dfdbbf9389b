"""What an output folder was made from and holds, kept in it by content, so that unchanged sites can be passed over.

The note ``.calgen-made`` holds SHA-256 sums: of every file that was read (or looked for), of calgen itself with its
data and templates, and of every file that was written; and the options. Same sums, nothing to do. It is no part of
what was made: without it, or when it cannot be read, the site is built.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calgen.command.load import Desk

NOTE: Final = ".calgen-made"
_ENDINGS: Final = (".py", ".yaml", ".ttf", ".typed")


@lru_cache(maxsize=1)
def program_sum() -> str:
    """The sum of calgen: its modules, its data and the templates it ships."""
    from calgen.command.load import PACKAGE, template_folder

    total = sha256()
    for folder in dict.fromkeys((PACKAGE, template_folder())):
        for path in sorted(path for path in folder.rglob("*") if path.suffix in _ENDINGS):
            data = path.read_bytes()
            total.update(f"{path.relative_to(folder).as_posix()} {len(data)} ".encode())
            total.update(data)
    return total.hexdigest()


def unchanged(folder: Path, options: str) -> bool:
    """Whether the folder holds, whole, what would be made again now.

    Args:
        options: everything besides files that the outputs rest on.
    """
    try:
        note = json.loads((folder / NOTE).read_bytes())
        return bool(note["options"] == options
                    and all(_sum(Path(name)) == value for name, value in note["read"].items())
                    and all(_sum(folder / name) == value for name, value in note["written"].items()))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False


def keep(folder: Path, options: str, found: Desk, names: Iterable[str]) -> None:
    """Note what was made. A note that cannot be written costs a build next time, no more."""
    new = folder / f"{NOTE}-{os.getpid()}"
    with suppress(OSError):
        note = {
            "options": options,
            "read": {str(path): _sum(path) for path in read_files(found)},
            "written": {name: _sum(folder / name) for name in names},
        }
        try:
            new.write_text(json.dumps(note, indent=1), "utf-8")
            os.replace(new, folder / NOTE)
        finally:
            new.unlink(missing_ok=True)


def read_files(found: Desk) -> tuple[Path, ...]:
    """Every file that a site's outputs rest on, whether it is there or not."""
    from calgen.command.load import diary_path, file_bytes
    from calgen.problems import Faults
    from calgen.site.own import own_plants

    own = [element.raw.value.strip() for element in own_plants(file_bytes(found.path), str(found.path), Faults())
           if not element.is_mapping]
    record = [found.site.climate.record] if found.site.climate.record else []
    templates = sorted(found.templates.glob("*.yaml")) if found.templates else []
    beside = [found.path.parent / name for name in (*own, *record)]
    return (found.path, diary_path(found.path), *beside, *templates)


def _sum(path: Path) -> str | None:
    try:
        return sha256(path.read_bytes()).hexdigest()
    except (FileNotFoundError, NotADirectoryError):
        return None
