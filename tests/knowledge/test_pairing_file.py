"""Pairings of covers and crops: good rows are read, faults are told with their place."""

from __future__ import annotations

import pytest
from calgen.knowledge.model import Source
from calgen.knowledge.pairing_file import pairings
from calgen.knowledge.read import read_knowledge
from calgen.problems import Faults
from calgen.yamlfile import compose

SOURCES = {"own": Source("own", "Our judgement", "", None, None, "own"),
           "cornell": Source("cornell", "A sheet", "", None, None, "read")}
PLANTS = {"kale": None}
COVERS = {"white-mustard": None}


def read(text):
    faults = Faults()
    found = pairings(compose(text.encode(), "pairings.yaml", faults), SOURCES, PLANTS, COVERS)
    return found, [str(problem) for problem in faults.found]


def test_a_refusal_and_points():
    found, faults = read("""rows:
- {key: clash, covers: [white-mustard], crops: [family Brassicaceae], when: [before, after], source: cornell}
- key: good
  covers: [kind legume]
  crops: [kale, feeding heavy]
  when: [after]
  points: {value: 5, unit: points, source: own, why: because}
""")
    assert not faults
    assert found[0].points is None
    assert found[0].sources == ("cornell",)
    assert found[1].points.mid == 5


@pytest.mark.parametrize(("row", "what"), [
    ("{key: a, covers: [mustrad], crops: [kale], when: [before], source: own}",
     'pairings.yaml:2:21: rows: 1: covers: 1: "mustrad" is neither a plant nor one of family …, kind …, fixes …'),
    ("{key: a, covers: [white-mustard], crops: [kale], when: [beside], source: own}",
     'pairings.yaml:2:59: rows: 1: when: 1: "beside" is no relation; known: before, after, among, rotation, always'),
    ("{key: a, covers: [white-mustard], crops: [kale], when: [before]}",
     'pairings.yaml:2:3: rows: 1: refuses a cover without a source; add "source" or give "points"'),
])
def test_faults_have_a_place_and_advice(row, what):
    found, faults = read(f"rows:\n- {row}\n")
    assert found == ()
    assert faults == [what]


def test_shipped_rows_are_whole():
    rows = read_knowledge().pairings
    assert len(rows) > 10
    assert all(row.covers and row.when and (row.crops or row.when == ("always",)) for row in rows)
