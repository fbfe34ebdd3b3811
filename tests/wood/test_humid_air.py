"""Moist air against the library psychrolib (ASHRAE) and thermometer readings in print."""

from __future__ import annotations

import itertools

import numpy as np
import psychrolib
import pytest

from tests.wood.printed import examples_of
from webapp.wood.humid_air import (
    dew_point_c,
    rh_from_dew_point_pct,
    rh_from_wet_bulb_pct,
    saturation_pressure_over_water_pa,
    saturation_pressure_pa,
    vapour_pressure_pa,
)
from webapp.wood.sorption import equilibrium_moisture_pct
from webapp.wood.units import celsius_from_fahrenheit

psychrolib.SetUnitSystem(psychrolib.SI)

DRY_C = (-25.0, -8.0, -0.5, 0.5, 4.0, 12.0, 21.0, 35.0, 60.0, 90.0)


def test_saturation_pressure_over_a_sweep() -> None:
    """Same equations as psychrolib 2.5 (ASHRAE 2017, Eq. 5 and 6): equal but for rounding."""
    sweep = np.linspace(-60.0, 150.0, 211)
    theirs = [psychrolib.GetSatVapPres(one) for one in sweep]
    np.testing.assert_allclose(saturation_pressure_pa(sweep), theirs, rtol=1e-9)


def test_saturation_pressure_at_the_fixed_points() -> None:
    """Triple point 611.657 Pa (IAPWS) and boiling at 101 325 Pa: an independent check, 0.1 %."""
    assert saturation_pressure_pa(0.01) == pytest.approx(611.657, rel=1e-3)
    assert saturation_pressure_pa(99.974) == pytest.approx(101325.0, rel=1e-3)


def test_supercooled_water_follows_the_wmo_formula() -> None:
    """WMO-No. 8, annex 4.B: 6.112 hPa exp(17.62 t / (243.12 + t)), stated from -45 degC up."""
    frost_c = np.linspace(-40.0, 0.0, 41)
    theirs = 611.2 * np.exp(17.62 * frost_c / (243.12 + frost_c))
    np.testing.assert_allclose(saturation_pressure_over_water_pa(frost_c), theirs, rtol=0.01)
    assert (
        saturation_pressure_over_water_pa(frost_c[:-1]) > saturation_pressure_pa(frost_c[:-1])
    ).all()


def test_wet_bulb_over_a_sweep() -> None:
    """Against psychrolib down to 1 % RH; the difference is rounding alone."""
    compared = 0
    for dry_c, depression, pressure_pa in itertools.product(
        DRY_C, (0.0, 0.3, 1.0, 3.0, 7.0, 15.0), (101325.0, 80000.0)
    ):
        theirs = 100.0 * psychrolib.GetRelHumFromTWetBulb(dry_c, dry_c - depression, pressure_pa)
        if theirs > 1.0:
            ours = rh_from_wet_bulb_pct(dry_c, dry_c - depression, pressure_pa)
            assert ours == pytest.approx(theirs, abs=1e-6)
            compared += 1
    assert compared > 60


def test_dew_point_over_a_sweep() -> None:
    """Psychrolib searches the dew point to 0.001 degC."""
    for dry_c, rh_pct in itertools.product(DRY_C, (5.0, 30.0, 65.0, 95.0, 100.0)):
        theirs = psychrolib.GetTDewPointFromRelHum(dry_c, rh_pct / 100.0)
        assert dew_point_c(dry_c, rh_pct) == pytest.approx(theirs, abs=2e-3)
        ours = rh_from_dew_point_pct(dry_c, dew_point_c(dry_c, rh_pct))
        assert ours == pytest.approx(rh_pct, abs=1e-4)


def test_thermometers_read_by_others() -> None:
    """Readings of a kiln man (rounded table) and of an instrument: 2 % RH, 0.3 % MC."""
    for row, inputs in examples_of("psychrometric", "psychrometric_emc"):
        if "dry_bulb_c" in inputs:
            dry_c, wet_c = float(inputs["dry_bulb_c"]), float(inputs["wet_bulb_c"])
        else:
            wet_f = float(inputs["wet_bulb_f"])
            dry_f = wet_f + float(inputs["depression_f"])
            dry_c, wet_c = (float(celsius_from_fahrenheit(one)) for one in (dry_f, wet_f))
        ours = rh_from_wet_bulb_pct(dry_c, wet_c)
        if row["topic"] == "psychrometric_emc":
            ours = equilibrium_moisture_pct(dry_c, ours)
        assert ours == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row["id"]


def test_readings_that_cannot_be() -> None:
    assert np.isnan(rh_from_wet_bulb_pct([20.0, 20.0], [20.5, 2.0])).all()
    assert np.isnan(rh_from_dew_point_pct(10.0, 11.0))
    assert np.isnan(dew_point_c(10.0, [0.0, -3.0, np.nan])).all()
    assert vapour_pressure_pa(20.0, 50.0) == pytest.approx(saturation_pressure_pa(20.0) / 2)
