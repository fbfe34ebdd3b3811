"""Air at a place from station air: checked by what wood is found to do in such places."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from tests.wood.printed import rows_of
from webapp.wood.humid_air import saturation_pressure_over_water_pa
from webapp.wood.place_air import air_inside
from webapp.wood.sorption import equilibrium_moisture_pct

if TYPE_CHECKING:
    from webapp.wood.arrays import FloatArray


def station(place: str) -> tuple[FloatArray, FloatArray]:
    rows = [row for row in rows_of("station_air.csv") if row["place"] == place]
    return (
        np.array([float(row["temperature_c"]) for row in rows]),
        np.array([float(row["rh_pct"]) for row in rows]),
    )


def yearly_mean_indoors(region: str) -> float:
    rows = rows_of("station_air.csv")
    places = dict.fromkeys(row["place"] for row in rows if row["region"] == region)
    indoors = [equilibrium_moisture_pct(*air_inside("heated", *station(one))) for one in places]
    return float(np.mean(np.stack(indoors)))


def test_heated_rooms_give_the_recommended_averages() -> None:
    """FPL-GTR-190, Fig. 13-1 (second-hand): 8 % in most of the USA, 6 % in the dry Southwest."""
    assert yearly_mean_indoors("most of the USA") == pytest.approx(8.0, abs=1.0)
    assert yearly_mean_indoors("dry Southwest") == pytest.approx(6.0, abs=1.0)


def test_heated_rooms_keep_the_outdoor_vapour_and_are_dry_in_winter() -> None:
    outdoors_c, outdoors_pct = station("Boston (airport)")
    room_c, room_pct = air_inside("heated", outdoors_c, outdoors_pct)
    outdoors_pa = outdoors_pct * saturation_pressure_over_water_pa(outdoors_c)
    np.testing.assert_allclose(room_pct * saturation_pressure_over_water_pa(room_c), outdoors_pa)
    assert (room_c >= 20.0).all()
    assert (room_c >= outdoors_c).all()
    assert room_pct[0] < 25.0
    assert room_pct[6] > 50.0


def test_unheated_buildings_damp_and_delay_the_year() -> None:
    outdoors_c, outdoors_pct = station("Boston (airport)")
    inside_c, inside_pct = air_inside("unheated", outdoors_c, outdoors_pct)
    assert np.ptp(inside_c) < np.ptp(outdoors_c)
    assert np.mean(inside_c - outdoors_c) == pytest.approx(1.0)
    assert inside_c[9] - outdoors_c[9] > inside_c[3] - outdoors_c[3]
    assert 1.0 < np.mean(outdoors_pct - inside_pct) < 8.0


def test_other_places_have_the_air_that_was_given() -> None:
    outdoors_c, outdoors_pct = station("Chicago (O'Hare)")
    for kind in ("open_shed", "outdoors", "chamber"):
        inside_c, inside_pct = air_inside(kind, outdoors_c, outdoors_pct)
        np.testing.assert_array_equal(inside_c, outdoors_c)
        np.testing.assert_array_equal(inside_pct, outdoors_pct)


def test_air_never_holds_more_than_it_can() -> None:
    _, inside_pct = air_inside("unheated", np.linspace(30.0, -25.0, 12), 100.0)
    assert inside_pct.max() == 100.0


def test_what_is_refused() -> None:
    with pytest.raises(ValueError, match="attic"):
        air_inside("attic", np.zeros(12), 50.0)
    with pytest.raises(ValueError, match="twelve"):
        air_inside("heated", np.zeros(11), 50.0)
