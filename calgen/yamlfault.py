"""What is wrong with a text that is no YAML, in words that tell a grower what to do."""

from __future__ import annotations


def colonless(text: str, line: int) -> tuple[int, int] | None:
    """Line and column of a key without a colon, where the next line's own colon is taken to be one too many.

    Args:
        line: the line of the colon that YAML cannot take, from 0.
    """
    lines = text.splitlines()
    if line >= len(lines) or lines[line].lstrip().startswith("#"):
        return None
    for number in range(line - 1, -1, -1):
        before = lines[number].partition(" #")[0].rstrip()
        if before.lstrip() and not before.lstrip().startswith("#"):
            start = len(before) - len(before.lstrip(" -"))
            return None if ": " in before or before.endswith(":") else (number + 1, start + 1)
    return None


def plain(problem: str) -> str | None:
    """PyYAML's message in plain words with what to do; None for one that has none here."""
    advice = {
        "mapping values are not allowed": "a colon stands where none can; quote the text or indent the line",
        "could not find expected ':'": "a colon is missing after a key",
        "expected <block end>, but found": "the indentation does not match the lines above",
        "did not find expected key": "the indentation does not match the lines above",
        "did not find expected '-'": "the indentation does not match the lines above",
        "node content": "a value is missing or a bracket is not closed",
        "expected ',' or ']'": "a list is not closed; add ]",
        "expected ',' or '}'": "a { is not closed; add }",
        "found character": "this character cannot start a value; quote the text",
        "but found another document": "a second document begins (---); keep one per file",
        "found unexpected end of stream": "a quotation mark is not closed",
        "found unknown escape": "a backslash in double quotes means something else here; use single quotes",
    }
    for sign, words in advice.items():
        if sign in problem:
            return words
    return None
