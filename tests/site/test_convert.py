"""Dates, sizes and numbers as growers write them."""

from datetime import date

import pytest
from calgen.site.convert import (
    bed_area,
    bed_size,
    day_month,
    full_date,
    month_year,
    plain_number,
    pots,
    share,
    weekday,
)
from calgen.site.model import MonthDay


@pytest.mark.parametrize(("text", "expected"), [
    ("28 April", MonthDay(4, 28)), ("April 28", MonthDay(4, 28)), ("28 Apr.", MonthDay(4, 28)),
    ("3rd Sept", MonthDay(9, 3)), ("2026-10-19", MonthDay(10, 19)), ("29 February", MonthDay(2, 29)),
])
def test_day_and_month_in_either_order(text: str, expected: MonthDay) -> None:
    assert day_month(text) == expected


@pytest.mark.parametrize("text", ["4/5", "4.5.2026", "05/04/2026", "4/5/26"])
def test_a_date_that_reads_in_two_ways_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="can be read in two ways"):
        full_date(text)


@pytest.mark.parametrize("text", ["2026-02-30", "31 June 2026", "32 May 2026", "29 February 2027", "2026-13-01"])
def test_a_day_that_does_not_exist_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a date"):
        full_date(text)


@pytest.mark.parametrize(("text", "day"), [("30.5.2026", 30), ("5/30/2026", 30), ("2026-5-3", 3)])
def test_numbers_that_read_in_one_way_only_are_a_date(text: str, day: int) -> None:
    assert full_date(text) == date(2026, 5, day)


@pytest.mark.parametrize(("text", "hint"), [("52,4", "write a point, as in 52.4"), ("17F", "write degrees Celsius"),
                                            ("52.4 N", "south with a minus")])
def test_a_number_with_something_else_gets_a_hint(text: str, hint: str) -> None:
    with pytest.raises(ValueError, match=hint):
        plain_number(text)


def test_full_dates() -> None:
    for text in ("19 October 2026", "October 19, 2026", "2026-10-19"):
        assert full_date(text) == date(2026, 10, 19)
    with pytest.raises(ValueError, match="has no year"):
        full_date("19 October")


def test_leap_day_falls_on_the_28th_in_common_years() -> None:
    assert MonthDay(2, 29).in_year(2027) == date(2027, 2, 28)
    assert MonthDay(2, 29).in_year(2028) == date(2028, 2, 29)


def test_months() -> None:
    assert month_year("September 2026") == month_year("2026-09") == date(2026, 9, 1)


def test_weekdays_and_risks() -> None:
    assert [weekday(text) for text in ("Sat", "saturday", "Mon")] == [5, 5, 0]
    assert share("1 in 5") == share("20 %") == share("0.2") == 0.2
    with pytest.raises(ValueError, match="out of range"):
        share("4 in 5")


@pytest.mark.parametrize("text", ["nan", "inf", "1_000", "0x10", "1e3", "", "٣", "--1"])
def test_numbers_are_plain(text: str) -> None:
    with pytest.raises(ValueError, match="is not a number"):
        plain_number(text)


def test_sizes_in_metres_and_feet() -> None:
    assert bed_size("1.2 x 6 m").area_m2 == pytest.approx(7.2)
    assert bed_size("120 cm x 6 m").area_m2 == pytest.approx(7.2)
    # 1 ft = 0.3048 m exactly (international yard and pound agreement, 1959)
    assert bed_size("4 x 8 ft").area_m2 == pytest.approx(4 * 8 * 0.3048**2)
    assert bed_area("100 sq ft").area_m2 == pytest.approx(9.290304)


def test_pot_surface_follows_from_volume() -> None:
    """A 30 l pot is about 36 cm wide (common practice: sold as 35-40 cm); six have about 0.6 m²."""
    six = pots("6 x 30 l")
    assert six.pots == 6
    assert 0.5 <= six.area_m2 <= 0.75
