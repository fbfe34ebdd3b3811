import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.wood.meter_correction import correct
from webapp.yard.explain_readings import explain_readings


def test_a_reading_that_is_already_true_stays(session: Session) -> None:
    board = make.make_board(session)
    make.make_reading(session, board, shown="18.5", value=18.5, meter=make.make_meter(session))
    (found,) = explain_readings(session, board)
    assert found.corrected_pct == 18.5
    assert (found.temperature_points, found.species_points) == (0.0, 0.0)
    assert found.decides_alone
    assert not found.temperature_unknown


def test_each_step_is_told_and_they_add_up(session: Session) -> None:
    board = make.make_board(session, species="white fir")
    meter = make.make_meter(session, scale="douglas_fir", temperature="not_compensated")
    make.make_reading(
        session, board, shown="15", value=15.0, meter=meter, wood_temperature_c=5.0, spot="end"
    )
    (found,) = explain_readings(session, board)
    wanted = correct(
        15.0,
        scale="douglas_fir",
        temperature_kind="not_compensated",
        wood_temperature_c=5.0,
        species="white fir",
    )
    assert found.temperature_points > 0
    assert found.species_points > 0
    assert not found.species_unknown
    assert found.corrected_pct == pytest.approx(float(wanted.moisture_pct))
    assert found.corrected_pct == pytest.approx(
        15.0 + found.temperature_points + found.species_points
    )
    assert not found.decides_alone


def test_a_temperature_nobody_wrote_down_is_said_to_be_missing(session: Session) -> None:
    board = make.make_board(session)
    meter = make.make_meter(session, temperature="not_compensated")
    make.make_reading(session, board, meter=meter)
    (found,) = explain_readings(session, board)
    assert found.temperature_unknown
    assert found.temperature_points == 0.0


def test_a_wood_without_a_row_is_said_to_be_uncorrected(session: Session) -> None:
    board = make.make_board(session, species="black locust")
    make.make_reading(session, board, meter=make.make_meter(session, scale="douglas_fir"))
    (found,) = explain_readings(session, board)
    assert found.species_unknown
    assert found.species_points == 0.0


def test_a_sign_alone_stands_for_the_limit_of_its_meter(session: Session) -> None:
    board = make.make_board(session)
    meter = make.make_meter(session, over_range_pct=28.0, under_range_pct=7.0)
    turns = [(">", meter), ("<", meter), (">", None), ("<", None)]
    for day, (sign, read_with) in enumerate(turns, start=5):
        make.make_reading(
            session,
            board,
            read_on=make.A_DAY.replace(day=day),
            shown=sign,
            value=None,
            over=sign == ">",
            under=sign == "<",
            meter=read_with,
        )
    assert [found.corrected_pct for found in explain_readings(session, board)] == [28, 7, 30, 6]


def test_struck_readings_are_explained_too_and_a_bare_board_has_none(session: Session) -> None:
    board = make.make_board(session)
    assert explain_readings(session, board) == []
    make.make_reading(session, board).strike(make.A_MOMENT, "keeper", "slip")
    assert len(explain_readings(session, board)) == 1
