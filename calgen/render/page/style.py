"""The page's style sheet, and the policy that lets a browser use it and nothing else."""

from __future__ import annotations

import base64
import hashlib
from functools import lru_cache
from importlib.resources import files


@lru_cache(maxsize=1)
def style_sheet() -> str:
    """The CSS that stands in the page."""
    return files("calgen.render.page").joinpath("page.css").read_text(encoding="utf-8")


def content_policy() -> str:
    """Content Security Policy, level 3: no script, no request, this style sheet by its hash, images from data URLs."""
    digest = base64.b64encode(hashlib.sha256(style_sheet().encode("utf-8")).digest()).decode("ascii")
    return f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'"
