"""Text as a site file takes it."""

from __future__ import annotations


def plain(text: str) -> str:
    """The text as a YAML scalar: quoted where a sign in it means something there, or it would read as another thing."""
    tidy = " ".join(text.split())
    number = tidy.lstrip("-").replace(".", "", 1).isdigit()
    safe = all(sign.isalnum() or sign in " -.'" for sign in tidy) and tidy[:1].isalnum() and tidy not in ("null",)
    return tidy if number or safe else "'" + tidy.replace("'", "''") + "'"
