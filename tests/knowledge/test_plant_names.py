"""Plants are found by the names that growers write: in the plural, with a near miss told by a name worth writing."""

from __future__ import annotations

import pytest
from calgen.knowledge.names import plant_names
from calgen.knowledge.read import read_knowledge

NAMES = plant_names(read_knowledge())


@pytest.mark.parametrize(("written", "crop"), [
    ("leeks", "leek"), ("Broad Beans", "broad bean"), ("radishes", "radish"), ("strawberries", "strawberry"),
    ("aubergines", "aubergine"), ("peas", "pea"), ("onions", "onion sets"), ("Brussels sprouts", "brussels sprouts")])
def test_a_plural_is_the_plant(written: str, crop: str) -> None:
    assert NAMES.crop(written) == NAMES.crop(crop)
    assert NAMES.grown(written) == NAMES.crop(crop)


def test_a_plural_of_the_other_kind_is_told_as_such() -> None:
    with pytest.raises(ValueError, match="is a crop, no cover; write crop: leeks"):
        NAMES.cover("leeks")


@pytest.mark.parametrize(("written", "near"), [("onoins", "onion"), ("brocoli", "broccoli"), ("letuce", "lettuce")])
def test_what_is_suggested_is_a_name_and_no_clipped_one_of_narrow_bars(written: str, near: str) -> None:
    with pytest.raises(ValueError, match=f'did you mean "{near}'):
        NAMES.crop(written)
