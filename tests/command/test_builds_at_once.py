"""Two builds of one site at once, as from a timer and by hand: the later one takes up what the other wrote."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from calgen import output

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    Calgen = Callable[..., tuple[int, str, str]]

TODAY = ("--today", "2026-09-01", "--style", "chart-a4")


def contents(folder: str) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in Path(folder).rglob("*") if path.is_file()}


def overtaken(times: int, other: Callable[[int], object], monkeypatch: pytest.MonkeyPatch) -> None:
    """Let another build come before each of so many writes."""
    write, left = output.write_all, list(range(times))

    def write_later(folder: Path, files: Mapping[str, bytes], expected: Mapping[str, bytes | None]) -> list[str]:
        if left:
            number = left.pop(0)
            with monkeypatch.context() as within:
                within.setattr(output, "write_all", write)
                other(number)
        return write(folder, files, expected)

    monkeypatch.setattr(output, "write_all", write_later)


@pytest.mark.parametrize("words", [(), ("elm.yaml",)])
def test_the_later_build_is_made_again_from_what_is_there_then(
        words: tuple[str, ...], calgen: Calgen, plot: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("elm.yaml").write_bytes(plot.read_bytes())

    def by_hand(_: int) -> None:
        plot.write_text(plot.read_text("utf-8").replace("22 April", "9 May"), "utf-8")
        assert calgen("build", "plot.yaml", *TODAY)[0] == 0

    overtaken(1, by_hand, monkeypatch)
    assert calgen("build", "plot.yaml", *words, *TODAY)[0] == 0
    assert calgen("build", "plot.yaml", *TODAY, "--out", "anew")[0] == 0
    assert contents("output/plot").items() >= contents("anew/plot").items()


def test_who_is_overtaken_over_and_over_is_told_what_to_do(
        calgen: Calgen, plot: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def by_hand(number: int) -> None:
        plot.write_text(plot.read_text("utf-8").replace(f"{22 + number} April", f"{23 + number} April"), "utf-8")
        assert calgen("build", "plot.yaml", *TODAY)[0] == 0

    overtaken(9, by_hand, monkeypatch)
    status, out, err = calgen("build", "plot.yaml", *TODAY)
    assert (status, out) == (1, "")
    assert err == ("plot.yaml: another build has just written to output/plot; this one wrote nothing: build again\n")


def test_frost_takes_up_what_another_build_wrote(calgen: Calgen, plot: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def by_hand(_: int) -> None:
        assert calgen("build", "plot.yaml", "--today", "2026-09-02", "--style", "chart-a4")[0] == 0

    overtaken(1, by_hand, monkeypatch)
    assert calgen("frost", "plot.yaml", "--last", "9 May", "--write", *TODAY)[0] == 0
    assert b"9 May" in plot.read_bytes()
