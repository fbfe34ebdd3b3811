"""The uses: their targets, against the printed figures they were taken from."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from webapp.wood.uses import USES, UseFigure, use_named

PRINTED = Path(__file__).parent / "published" / "decay_mould.csv"


def printed() -> dict[str, dict[str, str]]:
    with PRINTED.open(encoding="utf-8", newline="") as file:
        return {row["row_id"]: row for row in csv.DictReader(file)}


def every_figure() -> list[UseFigure]:
    return [figure for use in USES for figure in use.figures]


@pytest.mark.parametrize(
    ("name", "target_pct", "source"),
    [
        ("outdoor use", 16.0, "Swedish Wood"),
        ("heated room", 8.0, "Wood Handbook"),
        ("kiln", 20.0, "Univ. of Missouri Extension G5550"),
    ],
)
def test_each_use_has_a_target_with_its_source(name: str, target_pct: float, source: str) -> None:
    use = use_named(name)
    assert use is not None
    assert use.target_pct == target_pct
    assert use.source.startswith(source)
    assert f"{target_pct:g} %" in use.sentence


@pytest.mark.parametrize("text", ["Heated Room", "  heated   room ", "indoors", "a heated room"])
def test_a_use_is_found_however_it_is_typed(text: str) -> None:
    found = use_named(text)
    assert found is not None
    assert found.name == "heated room"


@pytest.mark.parametrize("text", [None, "", "music stands", "garden benches, outdoors", "8 %"])
def test_words_of_ones_own_are_no_use(text: str | None) -> None:
    assert use_named(text) is None


def test_every_figure_is_as_printed() -> None:
    rows = printed()
    for figure in every_figure():
        row = rows[figure.row]
        assert row["unit"] == "% MC", figure
        low, high = (float(row[bound]) if row[bound] else None for bound in ("low", "high"))
        # A mean stands in the printed table as a lone figure.
        ours = (figure.low_pct if figure.mean_pct is None else figure.mean_pct, figure.high_pct)
        assert ours == (low, high), figure
        assert (figure.source, figure.ref) == (row["source"], row["ref"]), figure
        assert figure.remembered == (row["seen"] == "memory"), figure


def test_targets_rest_on_figures_that_were_seen() -> None:
    for use in USES:
        rests_on = [figure for figure in use.figures if figure.where == use.source]
        assert rests_on, use
        assert not any(figure.remembered for figure in rests_on), use
        assert any(use.target_pct in {f.mean_pct, f.high_pct} for f in rests_on), use


def test_the_kiln_takes_wood_that_fungi_leave_alone() -> None:
    """At 20 % and below there is no decay (D01); the uses that last are drier still."""
    no_decay = float(printed()["D01"]["high"])
    assert all(use.target_pct <= no_decay for use in USES)


def test_the_damp_and_dry_regions_lie_around_the_usual_room() -> None:
    room = use_named("heated room")
    assert room is not None
    means = {f.row: f.mean_pct for f in room.figures if f.mean_pct is not None}
    assert (means["D26"], means["D25"], means["D27"]) == (6.0, 8.0, 11.0)
    for mean in (6, 11):
        assert f"{mean} %" in room.sentence
