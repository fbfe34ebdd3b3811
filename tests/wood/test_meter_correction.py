"""Meter corrections against James' chart and fits to his resistance table."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.wood.printed import columns_of, rows_of
from webapp.wood.meter_correction import correct
from webapp.wood.meter_species import species_correction, species_rows
from webapp.wood.meter_temperature import temperature_correction
from webapp.wood.species_table import species_named

FITTED = {"oak, white": "white oak", "oak, northern red": "northern red oak"}


def test_every_cell_of_the_temperature_chart() -> None:
    """James 1988, FPL-GTR-6, Figure 5, read to 0.1: our grid must hold each cell as printed."""
    reading, wood_c, moisture = columns_of(
        "meter_chart_figure_5.csv", "reading_pct", "temperature_c", "moisture_pct"
    )
    points, _, off_chart = temperature_correction(reading, wood_c)
    np.testing.assert_allclose(reading + points, moisture, atol=1e-9)
    assert not off_chart.any()


def test_between_the_cells_the_chart_is_nearly_straight() -> None:
    """Each inner temperature column foretold from its neighbours: within 0.4, the chart's bends."""
    reading, wood_c, moisture = columns_of(
        "meter_chart_figure_5.csv", "reading_pct", "temperature_c", "moisture_pct"
    )
    cells = dict(zip(zip(reading, wood_c, strict=True), moisture, strict=True))
    misses = [
        cell - (cells[pct, degree - 5] + cells[pct, degree + 5]) / 2
        for (pct, degree), cell in cells.items()
        if (pct, degree - 5) in cells and (pct, degree + 5) in cells
    ]
    assert len(misses) > 100
    assert np.max(np.abs(misses)) < 0.4


def test_nothing_is_added_at_the_temperature_of_calibration() -> None:
    """The chart's reference is 70 degF; it was read to 0.15, so 0.2 between its cells."""
    points, _, _ = temperature_correction(np.linspace(6.0, 25.0, 20), 21.1)
    assert np.max(np.abs(points)) < 0.2


def test_slope_near_room_temperature() -> None:
    """VTT Publications 420 (seen): 0.10 to 0.15 points a degC on wood of 8 to 18 %, mid 13 %."""
    cold, warm = (temperature_correction(13.0, one)[0] for one in (15.0, 25.0))
    assert 0.10 <= (cold - warm) / 10.0 <= 0.15


@given(st.floats(2.0, 29.0), st.floats(0.05, 3.0), st.floats(-30.0, 60.0), st.floats(0.0, 20.0))
def test_wetter_reads_wetter_and_warmth_reads_wetter(
    reading: float, more: float, wood_c: float, warmer: float
) -> None:
    def moisture(shown: float, at_c: float) -> float:
        return shown + float(temperature_correction(shown, at_c)[0])

    assert moisture(reading + more, wood_c) > moisture(reading, wood_c)
    assert moisture(reading, wood_c + warmer) <= moisture(reading, wood_c) + 1e-9


def test_off_the_chart_the_edge_is_kept_and_doubt_grows() -> None:
    points, sd, off_chart = temperature_correction(
        [10.0, 10.0, 25.0, 32.0], [-20.0, -30.0, 30.0, 30.0]
    )
    assert points[1] == points[0]
    assert points[3] == points[2]
    assert sd[1] > sd[0] + 0.5
    assert sd[3] > sd[2] + 0.5
    assert off_chart.tolist() == [False, True, False, True]


def test_species_points_follow_the_fits_to_the_printed_rows() -> None:
    """James 1988, Table 1, as fitted by others: smooth fits, up to 2 points off single cells.

    Reading of a Douglas-fir meter and moisture of another wood at the same resistance; 0.7 is
    what the fits leave at 10 to 18 %.
    """
    fits = {
        row["species"]: (float(row["intercept"]), float(row["slope"]))
        for row in rows_of("meter_resistance_fits.csv")
    }
    fir_start, fir_slope = fits["Douglas-fir (coast)"]
    for printed, name in (*FITTED.items(), ("walnut, black", "black walnut")):
        start, slope = fits[printed]
        moisture = np.linspace(10.0, 18.0, 9)
        log_resistance = (np.log10(moisture) - start) / slope
        reading = 10.0 ** (fir_start + fir_slope * log_resistance)
        points, _, remembered, _ = species_correction(reading, name)
        np.testing.assert_allclose(reading + points, moisture, atol=0.7)
        assert remembered.all()


def test_species_rows_name_woods_of_the_species_table_once() -> None:
    covered = [name for row in species_rows() for name in row.covers]
    assert len(set(covered)) == len(covered)
    for row in species_rows():
        assert (np.diff(row.readings_pct) > 0).all(), row.name
        assert [species_named(name).name for name in row.covers] == list(row.covers)


def test_a_wood_without_a_row_is_left_alone_with_more_doubt() -> None:
    points, sd, remembered, off_table = species_correction(
        14.0, np.array(["hornbeam", "white oak"])
    )
    assert points[0] == 0.0
    assert points[1] < 0.0
    assert sd[0] > sd[1]
    assert remembered.tolist() == [False, True]
    assert off_table.tolist() == [True, False]


def test_douglas_fir_is_the_scale_itself() -> None:
    points, sd, remembered, off_table = species_correction([5.0, 14.0, 40.0], "coast Douglas-fir")
    assert not points.any()
    assert not sd.any()
    assert not remembered.any()
    assert not off_table.any()


def test_temperature_comes_before_species() -> None:
    done = correct(
        16.0,
        scale="douglas_fir",
        temperature_kind="not_compensated",
        wood_temperature_c=5.0,
        species="white oak",
    )
    warmed = 16.0 + float(temperature_correction(16.0, 5.0)[0])
    expected = warmed + float(species_correction(warmed, "white oak")[0])
    assert done.moisture_pct == pytest.approx(expected)
    assert done.temperature_points > 0.0 > done.species_points


def test_many_readings_of_several_meters_at_once() -> None:
    done = correct(
        [12.0, 12.0, 12.0, 12.0, np.nan],
        scale=np.array(["as_shown", "as_shown", "douglas_fir", "douglas_fir", "douglas_fir"]),
        temperature_kind=np.array(["compensated", *["not_compensated"] * 4]),
        wood_temperature_c=[0.0, 0.0, np.nan, 0.0, 0.0],
        species="white ash",
        kind=np.array(["pin", "pin", "pin", "pinless", "pin"]),
    )
    assert done.moisture_pct[0] == 12.0
    assert done.extra_sd[0] == 0.0
    assert done.moisture_pct[1] == pytest.approx(15.1)  # a cell of the chart
    assert done.temperature_points[2] == 0.0
    assert done.extra_sd[2] > done.extra_sd[1]
    assert done.moisture_pct[3] == 12.0
    assert done.extra_sd[3] > 1.0
    assert np.isnan(done.moisture_pct[4])


@pytest.mark.parametrize("word", ["scale", "temperature_kind", "kind"])
def test_words_that_mean_nothing_are_refused(word: str) -> None:
    words = {"scale": "as_shown", "temperature_kind": "compensated", "kind": "pin", word: "odd"}
    with pytest.raises(ValueError, match="odd"):
        correct(
            12.0,
            scale=words["scale"],
            temperature_kind=words["temperature_kind"],
            wood_temperature_c=20.0,
            species="white oak",
            kind=words["kind"],
        )
