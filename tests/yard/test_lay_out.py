from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from sqlalchemy import select

from tests.make import (
    A_DAY,
    A_MOMENT,
    make_air,
    make_board,
    make_meter,
    make_place,
    make_reading,
    make_round,
    make_stack,
    make_witness_board,
)
from webapp.problems import Refused
from webapp.records import Board, Place, PlaceMonth, Reading, Stack
from webapp.records.batch import open_batch
from webapp.wood.meter_correction import correct
from webapp.wood.species_table import species_named
from webapp.yard.correct_readings import SIDE_SPOT_SD_PCT
from webapp.yard.lay_out import date_of, day_number, lay_out
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.strike_reading import strike_reading

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from webapp.records import Batch
    from webapp.yard.lay_out import Layout

LATER, TODAY = A_DAY + timedelta(days=40), A_DAY + timedelta(days=100)


def _batch(session: Session) -> Batch:
    return open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=100))


def _row(layout: Layout, board: Board) -> int:
    return int(np.flatnonzero(layout.table["board_id"] == board.id)[0])


def _stays(layout: Layout, board: Board) -> list[tuple[date | None, int]]:
    stays, row = layout.boards.stays, _row(layout, board)
    lies = np.isfinite(stays.from_day[row])
    return [
        (date_of(day), layout.places[place])
        for day, place in zip(stays.from_day[row][lies], stays.place[row][lies], strict=True)
    ]


def test_boards_come_by_stack_and_mark_with_their_wood(session: Session) -> None:
    second, first = make_stack(session, mark="B"), make_stack(session, mark="A", target_pct=14.0)
    make_board(session, second, mark="b1", species="black cherry", thickness_mm=33.0)
    make_board(session, first, mark="a2")
    make_board(session, first, mark="a1", target_pct=9.0)
    layout = lay_out(session, TODAY)
    assert layout.table["board"].tolist() == ["a1", "a2", "b1"]
    np.testing.assert_array_equal(layout.boards.stack, [0, 0, 1])
    np.testing.assert_array_equal(layout.boards.target_pct, [9.0, 14.0, np.nan])
    assert layout.boards.density[2] == species_named("black cherry").basic_density
    assert layout.boards.thickness_mm[2] == 33.0


def test_boards_come_in_the_order_people_count(session: Session) -> None:
    stack = make_stack(session)
    for mark in ("W10", "W2", "W1", "V11", "7", "W2b"):
        make_board(session, stack, mark=mark)
    marks = lay_out(session, TODAY).table["board"].tolist()
    assert marks == ["7", "V11", "W1", "W2", "W2b", "W10"]


def test_stacks_whose_marks_count_alike_keep_their_boards_together(session: Session) -> None:
    """The model takes a stack's boards side by side; interleaved they would be mixed up."""
    plain, padded = make_stack(session, mark="W1"), make_stack(session, mark="W01")
    for n in range(6):
        make_board(session, (plain, padded)[n % 2], mark=f"b{n}")
    layout = lay_out(session, TODAY)
    np.testing.assert_array_equal(layout.boards.stack, [0, 0, 0, 1, 1, 1])
    assert layout.table["board"].tolist() == ["b1", "b3", "b5", "b0", "b2", "b4"]


def test_a_stack_that_moves_takes_its_boards_along(session: Session) -> None:
    shed, store = make_place(session), make_place(session, kind="heated")
    stack = make_stack(session, shed)
    board = make_board(session, stack)
    move_stack(session, _batch(session), stack, store, LATER)
    assert _stays(lay_out(session, TODAY), board) == [(A_DAY, shed.id), (LATER, store.id)]
    before = lay_out(session, LATER - timedelta(days=1))
    assert _stays(before, board) == [(A_DAY, shed.id)]


def test_a_board_that_changes_stacks_belongs_to_the_last(session: Session) -> None:
    shed, loft = make_place(session), make_place(session)
    old, new = make_stack(session, shed), make_stack(session, loft)
    board = make_board(session, old)
    stays_there = make_board(session, old)
    move_board(session, _batch(session), board, new, LATER)
    layout = lay_out(session, TODAY)
    assert layout.table["stack_id"][_row(layout, board)] == new.id
    assert layout.table["stack_id"][_row(layout, stays_there)] == old.id
    assert _stays(layout, board) == [(A_DAY, shed.id), (LATER, loft.id)]


def test_moves_of_boards_and_of_stacks_are_crossed(session: Session) -> None:
    """A board takes part in a stack's moves only while it lies in it."""
    shed, loft, store = (make_place(session) for _ in range(3))
    old, new = make_stack(session, shed), make_stack(session, shed)
    board, staying = make_board(session, old), make_board(session, old)
    batch = _batch(session)
    days = [A_DAY + timedelta(days=n) for n in (10, 20, 30, 40, 50)]
    move_stack(session, batch, new, loft, days[0])
    move_stack(session, batch, old, store, days[1])
    move_board(session, batch, board, new, days[2])
    move_stack(session, batch, old, shed, days[3])
    move_stack(session, batch, new, store, days[4])
    layout = lay_out(session, TODAY)
    assert _stays(layout, board) == [
        (A_DAY, shed.id),
        (days[1], store.id),
        (days[2], loft.id),
        (days[4], store.id),
    ]
    assert _stays(layout, staying) == [(A_DAY, shed.id), (days[1], store.id), (days[3], shed.id)]
    assert _stays(lay_out(session, days[2]), board)[-1] == (days[2], loft.id)
    assert _stays(lay_out(session, days[2] - timedelta(days=1)), board)[-1] == (days[1], store.id)


def test_a_board_that_left_the_stacks_is_judged_no_more(session: Session) -> None:
    board = make_board(session)
    kept = make_board(session)
    move_board(session, _batch(session), board, None, LATER, why="sold")
    assert lay_out(session, TODAY).table["board_id"].tolist() == [kept.id]
    assert len(lay_out(session, LATER - timedelta(days=1)).table) == 2


def test_readings_after_the_day_and_struck_ones_are_not_known(session: Session) -> None:
    board = make_board(session)
    known = make_reading(session, board, value=20.0)
    make_reading(session, board, read_on=TODAY + timedelta(days=1))
    struck = make_reading(session, board)
    struck.strike(struck.created_at, "keeper", "slip")
    session.flush()
    layout = lay_out(session, TODAY)
    assert layout.frame["reading_id"].tolist() == [known.id]
    assert layout.readings.value_pct.tolist() == [20.0]
    assert layout.readings.day.tolist() == [day_number(A_DAY)]


def test_a_struck_board_is_judged_no_more(session: Session) -> None:
    struck, kept = make_board(session), make_board(session)
    make_reading(session, struck)
    struck.strike(A_MOMENT, "keeper", "written down twice")
    session.flush()
    layout = lay_out(session, TODAY)
    assert layout.table["board_id"].tolist() == [kept.id]
    assert len(layout.readings) == 0


def test_readings_reach_the_model_corrected_joined_and_doubted(session: Session) -> None:
    board, visit = make_board(session, species="black cherry"), make_round(session)
    meter = make_meter(session, temperature="not_compensated", over_range_pct=28.0)
    given = {"round": visit, "meter": meter, "wood_temperature_c": 2.0}
    for hit, value in enumerate((15.0, 16.0, 17.0), start=1):
        make_reading(session, board, hit=hit, value=value, **given)
    make_reading(session, board, read_on=LATER, shown=">", value=None, over=True, meter=meter)
    make_reading(session, board, read_on=TODAY, value=14.0, spot="end")
    readings = lay_out(session, TODAY).readings
    assert readings.day.tolist() == [day_number(day) for day in (A_DAY, LATER, TODAY)]
    cold = correct(
        np.array([15.0, 16.0, 17.0]),
        scale="as_shown",
        temperature_kind="not_compensated",
        wood_temperature_c=2.0,
        species="black cherry",
    )
    assert readings.value_pct[0] == pytest.approx(cold.moisture_pct.mean())
    assert readings.value_pct[0] > 18
    assert readings.over.tolist() == [False, True, False]
    assert readings.extra_sd[2] == SIDE_SPOT_SD_PCT > readings.extra_sd[0]


def test_a_place_needs_all_twelve_months(session: Session) -> None:
    place = make_place(session, name="North shed")
    make_board(session, make_stack(session, place))
    place.months[4].strike(A_MOMENT, "keeper", "typed wrong")
    session.flush()
    with pytest.raises(Refused, match=r"North shed.*11 months"):
        lay_out(session, TODAY)


def test_a_station_s_air_is_turned_into_that_of_the_place(session: Session) -> None:
    make_board(session, make_stack(session, make_place(session, kind="heated", air_of="station")))
    air = lay_out(session, TODAY).air[0]
    # A heated room is kept warm, and dry in winter for that.
    assert air.temperature_c[0] >= 18
    assert air.rh_pct[0] < 40


def test_air_of_one_moment_stays_in_the_order_it_was_written(session: Session) -> None:
    place = make_place(session)
    make_board(session, make_stack(session, place))
    first, *_ = [make_air(session, place=place, temperature_c=at) for at in (10.0, 20.0, 30.0)]
    make_air(session, place=place, at=A_MOMENT - timedelta(days=1), temperature_c=5.0)
    before = lay_out(session, TODAY)
    # PostgreSQL puts an edited row behind the others.
    first.rh_pct = 71.0
    session.flush()
    first.rh_pct = 70.0
    session.flush()
    after = lay_out(session, TODAY)
    assert after.air[0].record_temperature_c.tolist() == [5.0, 10.0, 20.0, 30.0]
    assert after.fingerprint == before.fingerprint


def test_own_air_is_known_until_the_day(session: Session) -> None:
    place = make_place(session)
    make_board(session, make_stack(session, place))
    make_air(session, place=place, at=A_MOMENT, temperature_c=11.0)
    make_air(session, place=place, at=datetime(2030, 1, 1, tzinfo=UTC))
    air = lay_out(session, TODAY).air[0]
    assert air.record_temperature_c.tolist() == [11.0]
    assert air.record_day[0] == pytest.approx(day_number(A_DAY) + 9.5 / 24)


def test_causes_share_a_stack_s_readings_among_its_meters(session: Session) -> None:
    board = make_board(session)
    one, other = make_meter(session), make_meter(session)
    for meter in (one, one, one, other):
        make_reading(session, board, meter=meter)
    layout = lay_out(session, TODAY)
    assert layout.causes.shape == (1, len(layout.places) + 2)
    assert sorted(layout.causes[0]) == sorted([1.0, 0.75, 0.25] + [0.0] * (len(layout.places) - 1))


def test_an_empty_yard_is_laid_out(session: Session) -> None:
    layout = lay_out(session, TODAY)
    assert (len(layout.boards), len(layout.readings)) == (0, 0)


def _change_month(session: Session) -> None:
    session.scalars(select(PlaceMonth).where(PlaceMonth.month == 7)).one().rh_pct = 55.0


def _change_meter(session: Session) -> None:
    reading = session.scalars(select(Reading)).one()
    assert reading.meter
    reading.meter.temperature, reading.wood_temperature_c = "not_compensated", 4.0


def _change_thickness(session: Session) -> None:
    session.scalars(select(Board)).one().thickness_mm = 52.0


def _change_target(session: Session) -> None:
    session.scalars(select(Stack)).one().target_pct = 9.0


def _add_reading(session: Session) -> None:
    make_reading(session, session.scalars(select(Board)).one())


def _strike(session: Session) -> None:
    reading = session.scalars(select(Reading)).one()
    reading.strike(reading.created_at, "keeper", "slip")


def _move(session: Session) -> None:
    stack = session.scalars(select(Stack)).one()
    move_stack(session, _batch(session), stack, make_place(session), LATER)


def _add_air(session: Session) -> None:
    make_air(session, place=session.scalars(select(Place)).one())


def _change_board_s_target(session: Session) -> None:
    session.scalars(select(Board)).one().target_pct = 9.0


def _change_species(session: Session) -> None:
    session.scalars(select(Board)).one().species = "black cherry"


def _change_spot(session: Session) -> None:
    session.scalars(select(Reading)).one().spot = "edge"


def _move_board(session: Session) -> None:
    board, place = session.scalars(select(Board)).one(), session.scalars(select(Place)).one()
    move_board(session, _batch(session), board, make_stack(session, place), LATER)


def _say_again(session: Session) -> None:
    """Write the same moisture down once more, struck out again."""
    reading = make_reading(session, session.scalars(select(Board)).one())
    strike_reading(session, _batch(session), reading, "wrong board")


def _read_later(session: Session) -> None:
    make_reading(session, session.scalars(select(Board)).one(), read_on=TODAY + timedelta(days=1))


def _read_a_witness(session: Session) -> None:
    place = session.scalars(select(Place)).one()
    make_reading(session, make_witness_board(session, place), read_on=LATER)


def _air_later(session: Session) -> None:
    make_air(session, place=session.scalars(select(Place)).one(), at=A_MOMENT + timedelta(days=101))


def _move_out_later(session: Session) -> None:
    board = session.scalars(select(Board)).one()
    batch = open_batch(session, "form", "keeper", A_MOMENT + timedelta(days=200))
    move_board(session, batch, board, None, TODAY + timedelta(days=1), why="sold")


def _rename(session: Session) -> None:
    board, stack = session.scalars(select(Board)).one(), session.scalars(select(Stack)).one()
    reading, place = session.scalars(select(Reading)).one(), session.scalars(select(Place)).one()
    board.mark, stack.mark, place.name, reading.shown = "oak", "oaks", "North shed", "18,50"
    assert reading.meter
    reading.meter.name = "pins of old"


@pytest.mark.parametrize(
    "edit", [_say_again, _read_later, _read_a_witness, _air_later, _move_out_later, _rename]
)
def test_what_no_judgement_hangs_on_leaves_the_fingerprint(
    session: Session, edit: Callable[[Session], None]
) -> None:
    make_reading(session, make_board(session), meter=make_meter(session))
    before = lay_out(session, TODAY)
    edit(session)
    session.flush()
    assert lay_out(session, TODAY).fingerprint == before.fingerprint


@pytest.mark.parametrize(
    "edit",
    [
        _change_month,
        _change_meter,
        _change_thickness,
        _change_target,
        _change_board_s_target,
        _change_species,
        _change_spot,
        _add_reading,
        _strike,
        _move,
        _move_board,
        _add_air,
    ],
)
def test_every_edit_shows_in_the_fingerprint(
    session: Session, edit: Callable[[Session], None]
) -> None:
    make_reading(session, make_board(session), meter=make_meter(session))
    before = lay_out(session, TODAY).fingerprint
    assert lay_out(session, TODAY).fingerprint == before
    edit(session)
    session.flush()
    assert lay_out(session, TODAY).fingerprint != before
    assert lay_out(session, TODAY + timedelta(days=1)).fingerprint != before


def test_a_meter_s_range_shows_in_the_fingerprint(session: Session) -> None:
    meter = make_meter(session)
    make_reading(session, shown=">", value=None, over=True, meter=meter)
    before = lay_out(session, TODAY).fingerprint
    meter.over_range_pct = 28.0
    session.flush()
    assert lay_out(session, TODAY).fingerprint != before


def test_another_meter_of_the_same_settings_shows_in_the_fingerprint(session: Session) -> None:
    board, meter = make_board(session), make_meter(session)
    make_reading(session, board, meter=meter)
    second = make_reading(session, board, meter=meter, read_on=LATER)
    before = lay_out(session, TODAY)
    second.meter = make_meter(session)
    session.flush()
    after = lay_out(session, TODAY)
    assert after.readings.value_pct.tolist() == before.readings.value_pct.tolist()
    assert after.fingerprint != before.fingerprint
