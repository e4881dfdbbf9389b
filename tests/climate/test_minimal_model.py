"""The year's curves from three or four numbers: printed values, and the published normals of 51 US stations."""

from __future__ import annotations

from statistics import fmean, median

import pytest
from calgen.climate.heat import simple_average
from calgen.climate.minimal import latitude_and_frost, latitude_frost_and_warmest_month
from calgen.climate.normals import daily_curve

LEBANON, BRUSSELS = (43.626, 129, 278), (50.8, 101, 317)

# The model's own printed test values: Tmin and Tmax on days 15, 105, 196, 288; degree days above 4.4 and 10 °C from
# last to first frost inclusive, and above 4.4 °C from day 244 to the first frost
PRINTED = [
    (latitude_and_frost(*LEBANON), LEBANON, (-10.10, 0.17, 13.60, 3.27), (0.60, 12.78, 28.06, 15.80),
     (1987, 1147, 371)),
    (latitude_frost_and_warmest_month(*LEBANON, 20.9), LEBANON, (-10.42, 0.07, 13.78, 3.23),
     (0.26, 12.65, 28.21, 15.74), (2002, 1162, 373)),
    (latitude_and_frost(*BRUSSELS), BRUSSELS, (-0.67, 4.76, 11.92, 6.45), (2.69, 11.65, 22.08, 13.06),
     (1887, 760, 463)),
    (latitude_frost_and_warmest_month(*BRUSSELS, 18.0), BRUSSELS, (-1.23, 4.89, 12.98, 6.83),
     (2.32, 11.92, 23.28, 13.62), (2050, 911, 504)),
]


@pytest.mark.parametrize(("curve", "place", "tmin", "tmax", "sums"), PRINTED)
def test_printed_values(curve, place, tmin, tmax, sums):
    """Digits as printed with the model's definition; they fix its formulas."""
    _, last, first = place
    days = (15, 105, 196, 288)
    assert [curve.tmin(day) for day in days] == pytest.approx(tmin, abs=0.006)
    assert [curve.tmax(day) for day in days] == pytest.approx(tmax, abs=0.006)
    heat = [sum(max(0.0, curve.tmean(day) - base) for day in range(start, first + 1))
            for start, base in ((last, 4.4), (last, 10), (244, 4.4))]
    assert heat == pytest.approx(sums, abs=1)


def _day(month_day: str) -> int:
    return sum((0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30)[:int(month_day[:2])]) + int(month_day[3:])


def test_warmth_of_the_growing_season_in_the_us(published):
    """Against curves through NOAA's 1981-2010 normals: 7.5 % and 2.5 % of degree days on average are claimed."""
    off = {"three numbers": [], "with the warmest month": []}
    for row in published("normals_us_1981_2010.csv"):
        last, first = _day(row["last_frost_p50"]), _day(row["first_frost_p50"])
        if not 90 <= first - last <= 300:
            continue
        normals = [(float(row[f"tmin_{month:02}_c"]), float(row[f"tmax_{month:02}_c"])) for month in range(1, 13)]
        low, high = (daily_curve([month[at] for month in normals]) for at in (0, 1))
        warmest = max(sum(month) / 2 for month in normals)
        truth = sum(simple_average(low[day], high[day], 4.4) for day in range(last - 1, first))
        for name, curve in (
            ("three numbers", latitude_and_frost(float(row["lat"]), last, first)),
            ("with the warmest month", latitude_frost_and_warmest_month(float(row["lat"]), last, first, warmest)),
        ):
            heat = sum(max(0.0, curve.tmean(day) - 4.4) for day in range(last, first + 1))
            off[name].append(abs(heat / truth - 1))
    assert len(off["three numbers"]) > 40
    assert median(off["three numbers"]) < 0.075
    assert fmean(off["three numbers"]) < 0.10
    assert fmean(off["with the warmest month"]) < 0.03
