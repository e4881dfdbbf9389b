"""Keeps what was read from the data files, as Python keeps compiled modules: read once, then loaded ten times as fast.

The file is named by a digest of all data files, of the classes and of Python's version; when anything differs it is not
found and all is read anew. Where nothing can be written calgen reads the data files each time.
"""

from __future__ import annotations

import os
import pickle
import sys
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final

from calgen.knowledge.model import Knowledge

if TYPE_CHECKING:
    from collections.abc import Iterable
    from importlib.resources.abc import Traversable

HERE: Final = Path(__file__).parent
FOLDER: Final = HERE / "__pycache__"


def kept_file(paths: Iterable[Traversable]) -> Path:
    """Where the knowledge read from these files is kept."""
    digest = sha256(sys.version.encode())
    for path in [*sorted(HERE.glob("*.py")), *paths]:
        digest.update(path.name.encode() + b"\0")
        digest.update(path.read_bytes())
    return FOLDER / f"knowledge-{digest.hexdigest()[:24]}.pickle"


def kept_knowledge(path: Path) -> Knowledge | None:
    """What is kept there, or None."""
    try:
        found = pickle.loads(path.read_bytes())  # noqa: S301  our own file, trusted like the compiled modules beside it
    except Exception:  # a damaged file may raise anything; all is read anew then
        return None
    return found if isinstance(found, Knowledge) else None


def keep_knowledge(path: Path, knowledge: Knowledge) -> Knowledge:
    """Keep it for the next run, whole or not at all; older ones go."""
    fresh = path.with_name(f"{path.name}.{os.getpid()}")
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        try:
            fresh.write_bytes(pickle.dumps(knowledge, pickle.HIGHEST_PROTOCOL))
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
        for old in path.parent.glob("knowledge-*.pickle*"):
            if old != path:
                old.unlink(missing_ok=True)
    return knowledge
