"""``RunningSums`` finds days as plain counting over dates does, leap days and idle days included."""

from __future__ import annotations

from datetime import date, timedelta

from calgen.climate.days import DAYS_IN_YEAR, RunningSums, day_of_year
from hypothesis import given, settings
from hypothesis import strategies as st

LIMIT = 800
curves = st.lists(st.sampled_from([0.0, 0.0, 0.25, 1.0, 7.5, 12.0]), min_size=1, max_size=40).map(
    lambda short: [short[n * len(short) // DAYS_IN_YEAR] for n in range(DAYS_IN_YEAR)])
days = st.dates(date(1999, 1, 1), date(2030, 12, 31))
amounts = st.sampled_from([0.0, 0.25, 1.0, 7.5, 100.0, 364.25, 1000.0, 2190.0, 4380.5])


@settings(max_examples=150, deadline=None)
@given(curves, days, amounts)
def test_reached_counts_forward(daily: list[float], start: date, amount: float) -> None:
    counted, found = 0.0, None
    for n in range(LIMIT):
        day = start + timedelta(n)
        counted += daily[day_of_year(day) - 1]
        if counted >= amount:
            found = day
            break
    assert RunningSums(daily).reached(start, amount, LIMIT) == found


@settings(max_examples=150, deadline=None)
@given(curves, days, amounts)
def test_since_counts_back(daily: list[float], end: date, amount: float) -> None:
    counted, found = 0.0, None
    for n in range(1, LIMIT + 1):
        day = end - timedelta(n)
        counted += daily[day_of_year(day) - 1]
        if counted >= amount:
            found = day
            break
    assert RunningSums(daily).since(end, amount, LIMIT) == found
