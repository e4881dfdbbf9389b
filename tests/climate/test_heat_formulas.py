"""Degree-day formulas against the worked examples of weather services and extension offices."""

from __future__ import annotations

from math import pi

import pytest
from calgen.climate.heat import four_case, modified_average, simple_average, single_sine, thom

# tmin, tmax, base, simple, modified, single sine, four cases; the formulas are exact, so the digits are
EXACT = [
    (40, 60, 50, 0, 5, 10 / pi, 2.5),
    (45, 75, 50, 10, 12.5, 10.882, 11.25),
    (48, 90, 50, 19, 20, 19.186, 19.5),
    (5, 20, 10, 2.5, 5, 3.771, 3.75),
    (-2, 14, 4.4, 1.6, 4.8, 3.398, 3.2),
    (0, 10, 4.4, 0.6, 2.8, 1.903, 1.7),
]


@pytest.mark.parametrize(("tmin", "tmax", "base", "simple", "modified", "sine", "four"), EXACT)
def test_each_method_by_hand(tmin, tmax, base, simple, modified, sine, four):
    """Computed by hand from Baskerville and Emin 1969, Met Éireann's four cases and NOAA's modified average."""
    assert simple_average(tmin, tmax, base) == pytest.approx(simple)
    assert modified_average(tmin, tmax, base, 1000) == pytest.approx(modified)
    assert single_sine(tmin, tmax, base) == pytest.approx(sine, abs=5e-4)
    assert four_case(tmin, tmax, base) == pytest.approx(four)


@pytest.mark.parametrize(("tmin", "tmax", "upper", "expected"), [(48, 95, 86, 19.970), (65, 90, 86, 26.809)])
def test_horizontal_cut_off_takes_the_heat_above_away(tmin, tmax, upper, expected):
    """Baskerville and Emin 1969, by hand."""
    assert single_sine(tmin, tmax, 50, upper) == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize(("tmax", "tmin", "expected", "source"), [
    (70, 50, 10, "Iowa State University, Agronomy 541, lesson 2b"),
    (90, 65, 25.5, "Waushara Argus 2018, farm column"),
    (72, 46, 11, "Waushara Argus 2018, farm column"),
    (63, 42, 6.5, "Waushara Argus 2018, farm column"),
    (87, 63, 24.5, "Ohio State University Extension 2023 (Ohio Agronomy Guide)"),
])
def test_published_modified_averages(tmax, tmin, expected, source):
    """The 86/50 °F method as printed by the source."""
    assert modified_average(tmin, tmax, 50, 86) == pytest.approx(expected), source


def test_published_simple_average():
    """A mean of 64 °F is 11 degree days above 53 °F. Source: University of California Statewide IPM Program."""
    assert simple_average(54, 74, 53) == pytest.approx(11)


@pytest.mark.parametrize("base", [-5.0, 4.4, 30.0])
def test_cold_and_hot_days_are_the_same_by_every_method(base):
    """Wholly above the base all methods agree; wholly below there is nothing."""
    for method in (simple_average, single_sine, four_case):
        assert method(base + 2, base + 8, base) == pytest.approx(5)
        assert method(base - 8, base - 2, base) == 0
    assert modified_average(base - 8, base - 2, base, base + 20) == 0


def test_thom_is_the_mean_of_a_normal_curve_cut_at_the_base():
    """At the base itself σ/√(2π), far above it the difference, far below nothing. Source: Thom 1954 (from memory)."""
    assert thom([10, 30, -20], [3, 3, 3], 10) == pytest.approx((3 / (2 * pi) ** 0.5, 20, 0), abs=1e-6)
    assert thom([12, 9], [1e-6, 1e-6], 10) == pytest.approx((2, 0))
