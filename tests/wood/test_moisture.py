"""Moisture from weights, against worked examples; weights of boards by the handbook's relation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.wood.printed import examples_of
from webapp.wood.moisture import (
    board_mass_kg,
    dry_mass_g,
    mass_at_g,
    maximum_moisture_pct,
    moisture_pct,
    moisture_sd_pct,
)

masses = st.floats(1.0, 1e5)
moistures = st.floats(0.0, 250.0)


def test_oven_tests_of_extension_texts() -> None:
    """Vermont Extension and Wengert, printed to 1 or 0.1 %."""
    for row, inputs in examples_of("ovendry_mc"):
        wet, dry = (float(mass) for mass in inputs.values())
        expected = pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
        assert float(moisture_pct(wet, dry)) == expected, row["id"]


def test_most_water_wood_can_hold() -> None:
    """FPL-GTR-282: text says 267 and 44 %; its own equation gives 268.4 and 46.2, so 2.5."""
    for row, inputs in examples_of("maximum_mc"):
        ours = float(maximum_moisture_pct(float(inputs["sg_green"])))
        assert ours == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_error_of_an_oven_test_matches_repeated_weighing() -> None:
    """First-order propagation against a hundred thousand drawn weighings; 2 % is their noise."""
    draw = np.random.default_rng(7)
    wet = 150.0 + 0.5 * draw.standard_normal(100_000)
    dry = 100.0 + 0.3 * draw.standard_normal(100_000)
    spread = np.std(moisture_pct(wet, dry))
    assert moisture_sd_pct(150.0, 100.0, 0.5, 0.3) == pytest.approx(spread, rel=0.02)


@given(masses, moistures, moistures)
def test_mass_there_and_back(mass_g: float, at_pct: float, to_pct: float) -> None:
    there = mass_at_g(mass_g, at_pct, to_pct)
    assert mass_at_g(there, to_pct, at_pct) == pytest.approx(mass_g, rel=1e-12)
    assert moisture_pct(mass_g, dry_mass_g(mass_g, at_pct)) == pytest.approx(at_pct, abs=1e-9)


def test_weight_of_a_fresh_board() -> None:
    """A cubic metre of basic density 0.60 at 71 % weighs 600 (1 + 0.71) kg (Eq. 4-14)."""
    assert board_mass_kg(0.60, 1.0, 71.0) == pytest.approx(1026.0)


def test_masses_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="above zero"):
        moisture_pct(10.0, 0.0)
    with pytest.raises(ValueError, match="below"):
        moisture_pct([30.0, 19.0], [20.0, 20.0])
    assert np.isnan(moisture_pct(np.nan, 20.0))
