"""Moisture off the saw, against weight losses told by the Forest Service and extension texts."""

from __future__ import annotations

import pytest

from tests.wood.printed import examples_of
from webapp.wood.green_moisture import green_moisture_pct
from webapp.wood.moisture import mass_at_g, maximum_moisture_pct
from webapp.wood.species_table import all_species, species_named

MEANT = {
    "loss_beech": "American beech",
    "loss_hickory": "shagbark hickory",
    "loss_cherry_black": "black cherry",
    "loss_maple_soft": "red maple",
    "loss_maple_hard": "sugar maple",
    "loss_birch_yellow": "yellow birch",
}


def test_weight_lost_from_the_saw_to_twenty_percent() -> None:
    """Figures in loggers' literature (second-hand), printed to 1 % of the green weight: 5."""
    for row, _ in examples_of("weight_loss_green_to_20"):
        green_pct = green_moisture_pct(species_named(MEANT[row["id"]])).mean_pct
        lost = 100.0 - float(mass_at_g(100.0, green_pct, 20.0))
        assert lost == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row["id"]


def test_freshly_sawn_white_oak() -> None:
    """Wengert, Drying Oak Lumber: about 65 %; trees differ, so 10."""
    [(row, _)] = examples_of("green_mc")
    ours = green_moisture_pct(species_named("white oak")).mean_pct
    assert ours == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_every_species_has_a_figure_it_can_hold() -> None:
    for one in all_species():
        green = green_moisture_pct(one)
        assert green.low_pct <= green.mean_pct <= green.high_pct, one.name
        assert green.high_pct <= maximum_moisture_pct(one.basic_density) + 1e-9, one.name
        assert green.mean_pct > 30.0, one.name
        assert green.provenance, one.name


def test_kin_stand_in_for_what_is_not_known() -> None:
    assert green_moisture_pct(species_named("red maple")).provenance.startswith("mean of the genus")
    stranger = green_moisture_pct(species_named("hornbeam"))
    assert stranger.provenance == "mean of all hardwoods in the species table"
    assert not stranger.seen
