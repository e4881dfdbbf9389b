"""Where the system keeps its fonts."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

_MOST_BYTES = 60_000_000


def font_files() -> Iterator[Path]:
    """The system's and the user's font files, but for those of a size that no plan is worth."""
    home = Path(os.path.expanduser("~"))  # as it is where nobody is at home
    folders = {
        "win32": (Path(os.environ.get("WINDIR", "C:/Windows")) / "Fonts",
                  home / "AppData/Local/Microsoft/Windows/Fonts"),
        "darwin": (Path("/System/Library/Fonts"), Path("/Library/Fonts"), home / "Library/Fonts"),
    }.get(sys.platform, (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"), home / ".local/share/fonts",
                         home / ".fonts"))
    for folder in folders:
        for path in sorted(folder.rglob("*")) if folder.is_dir() else ():
            if path.suffix.lower() in (".ttf", ".ttc", ".otf", ".otc") and _can_be_read(path):
                yield path


def _can_be_read(path: Path) -> bool:
    try:
        return path.is_file() and path.stat().st_size <= _MOST_BYTES
    except OSError:
        return False
