from datetime import date

import pytest
from flask.testing import FlaskClient
from sqlalchemy.orm import Session

from tests import make
from tests.make_shed import TODAY, Shed
from webapp.pages.first_hour import FirstHour, first_hour
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.records.tally import Tally, tally

APRIL = date(2025, 4, 9)


def steps(found: Tally, next_on: date | None = None) -> FirstHour:
    hour = first_hour(found, "BARE", "UNREAD", next_on)
    assert hour is not None
    return hour


@pytest.mark.parametrize(
    ("found", "done", "path"),
    [
        (Tally(0, 0, 0, 0), 0, "places/new"),
        (Tally(1, 0, 0, 0), 1, "stacks/new"),
        (Tally(2, 1, 0, 0), 2, "stacks/BARE/boards"),
        (Tally(1, 3, 12, 0), 3, "stacks/UNREAD/round"),
    ],
)
def test_the_next_step_follows_from_what_is_there(found: Tally, done: int, path: str) -> None:
    hour = steps(found)
    assert [step.done for step in hour.steps] == [n < done for n in range(4)]
    [coming] = [step for step in hour.steps if step.is_next]
    assert coming.path == path
    assert hour.empty == (done == 0)
    assert not hour.done


def test_after_the_first_reading_it_says_when_to_come_again() -> None:
    hour = steps(Tally(1, 1, 12, 1), APRIL)
    assert hour.done
    assert hour.next_on == APRIL
    assert not any(step.is_next for step in hour.steps)


def test_it_is_over_with_the_second_round() -> None:
    assert first_hour(Tally(1, 1, 12, 2), None, None, APRIL) is None


def test_a_step_that_was_taken_back_comes_again() -> None:
    hour = steps(Tally(0, 1, 4, 1))
    assert [step.is_next for step in hour.steps] == [True, False, False, False]


def test_a_yard_is_counted_without_what_was_struck(session: Session) -> None:
    assert tally(session) == Tally(0, 0, 0, 0)
    board = make.make_board(session)
    make.make_reading(session, board)
    make.make_reading(session, board)
    struck = make.make_reading(session, board, read_on=date(2024, 6, 1))
    assert tally(session) == Tally(1, 1, 1, 2)
    struck.strike(make.A_MOMENT, "keeper", "a slip")
    session.flush()
    assert tally(session) == Tally(1, 1, 1, 1)


def test_witness_boards_are_no_first_reading(session: Session) -> None:
    make.make_reading(session, make.make_witness_board(session))
    assert tally(session).days_read == 0


def test_an_empty_yard_leads_to_its_first_place(client: FlaskClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    assert 'href="/places/new"' in answer.text
    assert 'href="/stacks/new"' not in answer.text
    assert "Bring them in" in answer.text
    assert 'href="/help' in answer.text


def test_a_yard_with_one_place_leads_to_its_first_stack(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_place(session)
    text = client.get("/").text
    assert 'href="/stacks/new"' in text
    assert 'href="/places/new"' not in text


def test_a_stack_leads_to_its_boards_and_boards_to_a_reading(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = make.make_stack(session)
    assert f'href="/stacks/{stack.code}/boards"' in client.get("/").text
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        board = make.make_board(session, session.merge(stack))
    assert f'href="/stacks/{stack.code}/round"' in client.get("/").text
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_reading(session, session.merge(board), read_on=TODAY)
    text = client.get("/").text
    assert "Come again about 9 April 2025." in text
    assert f'href="/stacks/{stack.code}/round"' not in text


def test_a_yard_in_use_is_not_led_by_the_hand(client: FlaskClient, shed: Shed) -> None:
    text = client.get("/").text
    assert "first-hour" not in text
    assert "/places/new" not in text
