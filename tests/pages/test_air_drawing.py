"""The drawing of own air records: days, gaps, and the usual year behind them."""

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from tests import make
from webapp.pages.air_drawing import AirDrawing, air_drawing
from webapp.pages.curve_sheet import HEIGHT, WIDTH
from webapp.records import Place
from webapp.records.place import air_log_of, months_of

FIRST = datetime(2023, 5, 1, 6, tzinfo=UTC)


def drawn(session: Session, place: Place) -> AirDrawing | None:
    return air_drawing(place, months_of(session, place), air_log_of(session, place))


def measure(session: Session, place: Place, days: float, rh_pct: float = 65.0) -> None:
    at = FIRST + timedelta(days=days)
    make.make_air(session, place=place, at=at, temperature_c=21.1, rh_pct=rh_pct)


def test_nothing_measured_is_not_drawn(session: Session) -> None:
    assert drawn(session, make.make_place(session)) is None


def test_days_are_averaged_and_told(session: Session) -> None:
    place = make.make_place(session)
    for days, rh_pct in ((0, 60), (0.5, 70), (1, 65), (9, 65)):
        measure(session, place, days, rh_pct)
    found = drawn(session, place)
    assert found is not None
    assert (found.count, found.first, found.last) == (4, date(2023, 5, 1), date(2023, 5, 10))
    assert found.mean_pct == pytest.approx(12.0, abs=0.05)  # FPL-GTR-190, Table 4-2
    assert found.sheet.path.count("L") == 2
    assert found.sheet.usual.startswith("M44 ")
    assert found.sheet.usual.count("M") == 1


def test_no_line_bridges_a_long_gap(session: Session) -> None:
    place = make.make_place(session)
    for days in (0, 1, 2, 60, 61):
        measure(session, place, days)
    found = drawn(session, place)
    assert found is not None
    assert found.sheet.path.count("M") == 2


def test_a_single_record_is_a_dot(session: Session) -> None:
    place = make.make_place(session)
    measure(session, place, 0)
    found = drawn(session, place)
    assert found is not None
    ((x, y),) = found.sheet.dots
    assert 0 < x < WIDTH
    assert 0 < y < HEIGHT


def test_only_the_last_two_years_are_drawn_and_all_are_counted(session: Session) -> None:
    place = make.make_place(session)
    for days in range(0, 1200, 5):
        measure(session, place, days)
    found = drawn(session, place)
    assert found is not None
    assert found.count == 240
    assert found.first == date(2023, 5, 1)
    assert found.sheet.path.count("L") == pytest.approx(150, abs=2)
    assert [word for _x, word in found.sheet.columns][-1].endswith("2026")


def test_the_usual_year_is_that_of_the_place(session: Session) -> None:
    sheets = []
    for air_of in ("place", "station"):
        place = make.make_place(session, kind="heated", air_of=air_of)
        measure(session, place, 0)
        measure(session, place, 300)
        found = drawn(session, place)
        assert found is not None
        sheets.append(found.sheet)
    assert sheets[0].usual != sheets[1].usual
