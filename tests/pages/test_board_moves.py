"""Boards that move: to another stack, out of the stacks, several at once; and what is refused."""

from datetime import date

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_of, send
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.records.board import boards_of, stack_of, stays_of_board

TODAY = date(2025, 3, 10)
TO_B = {"whither": "stack", "stack": "B", "moved_on": "2025-03-01"}


@pytest.fixture(autouse=True)
def loft_stack(shed: Shed, sqlite_database: Database) -> str:
    """Build a second stack, which begins in 2025."""
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        return make.make_stack(session, mark="B", from_on=date(2025, 2, 10)).code


def page_of(shed: Shed, which: int = 0) -> str:
    return f"/boards/{shed.boards[which].code}/move"


def move(client: FlaskClient, shed: Shed, which: int = 0, **typed: str) -> TestResponse:
    return send(client, page_of(shed, which), page_of(shed, which), **TO_B | typed)


def test_a_board_moves_to_another_stack(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    fresh = client.get(page_of(shed)).text
    assert "stack Oak &lt;1&gt;" in fresh
    assert '<option value="B" >B<' in fresh
    answer = move(client, shed, why="to the dry end")
    assert answer.status_code == 303
    assert "W1 now lies in stack B." in client.get(answer.location).text
    with sqlite_database.reading() as session:
        stays = stays_of_board(session, shed.boards[0])
        assert [stay.stack.mark if stay.stack else None for stay in stays] == ["Oak <1>", "B"]
        assert (stays[1].from_on, stays[1].why) == (date(2025, 3, 1), "to the dry end")


def test_a_board_leaves_and_the_page_says_why(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    aside = move(client, shed, whither="set aside", stack="", why="for the bench")
    assert "W1 lies in no stack now: set aside: for the bench." in client.get(aside.location).text
    assert "set aside: for the bench" in client.get(page_of(shed)).text
    sold = move(client, shed, whither="sold", stack="", moved_on="2025-03-05")
    assert sold.status_code == 303
    with sqlite_database.reading() as session:
        stays = stays_of_board(session, shed.boards[0])
        assert [stay.why for stay in stays] == [None, "set aside: for the bench", "sold"]
        assert stack_of(session, shed.boards[0], TODAY) is None
    other = move(client, shed, 1, whither="other", stack="", why="given to the school")
    assert "W2 lies in no stack now: given to the school." in client.get(other.location).text


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"moved_on": "2025-02-09"}, "the stack was set up on 10 February 2025."),
        ({"stack": "Oak <1>"}, "“W1” already is in stack “Oak &lt;1&gt;”."),
        ({"stack": "Nowhere"}, "There is no stack “Nowhere” in the yard."),
        ({"stack": ""}, "Which stack: This is needed."),
        (
            {"stack": "", "whither": "sold", "moved_on": "2024-05-04"},
            "it cannot move on 4 May 2024",
        ),
        ({"stack": "", "whither": "sold", "moved_on": "2024-05-01"}, "came to “Oak &lt;1&gt;” on"),
        (
            {"stack": "", "whither": "sold", "moved_on": "2025-01-31"},
            "showed 17.5 on 3 February 2025; on that day",
        ),
        ({"stack": "", "whither": "other", "why": ""}, "Why, in your words: This is needed."),
        ({"whither": "sold"}, "Leave this empty"),
        ({"whither": ""}, "Where to: This is needed."),
        ({"whither": "eaten"}, "Expected one of stack, set aside"),
        ({"moved_on": "2025-03-11"}, "this day has not come yet"),
        ({"moved_on": "01/03/2025"}, "which cannot be told"),
        ({"moved_on": ""}, "From which day: This is needed."),
        ({"why": "w" * 10_000}, "Expected a text of one line of 1 to 200 signs"),
    ],
)
def test_a_move_that_cannot_be_is_refused_and_nothing_typed_is_lost(
    client: FlaskClient, shed: Shed, sqlite_database: Database, typed: dict[str, str], said: str
) -> None:
    sent = {"why": "to <the> dry end"} | typed
    answer = move(client, shed, 0, **sent)
    assert answer.status_code in {409, 422}
    assert said in answer.text
    if "why" not in typed:
        assert 'value="to &lt;the&gt; dry end"' in answer.text
    with sqlite_database.reading() as session:
        assert len(stays_of_board(session, shed.boards[0])) == 1


def test_a_move_sent_twice_is_kept_once(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    keys = keys_of(client, page_of(shed))
    answers = [client.post(page_of(shed), data=keys | TO_B) for _time in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    with sqlite_database.reading() as session:
        assert len(stays_of_board(session, shed.boards[0])) == 2


def test_an_unknown_board_is_not_found(client: FlaskClient) -> None:
    assert client.get("/boards/XXXXX/move").status_code == 404


def test_several_boards_move_together(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/boards/move"
    codes = [board.code for board in shed.boards[:3]]
    keys = keys_of(client, page)
    answer = client.post(page, data=keys | TO_B | {"board": codes})
    assert answer.status_code == 303
    assert "W1, W2, W3 now lie in stack B." in client.get(answer.location).text
    with sqlite_database.reading() as session:
        left = boards_of(session, shed.stack, TODAY)
    assert [board.mark for board in left] == ["W4"]


def test_of_several_boards_all_move_or_none(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/boards/move"
    codes = [shed.boards[3].code, shed.boards[0].code]
    sold = {"whither": "sold", "stack": "", "moved_on": "2024-06-20", "board": codes}
    answer = client.post(page, data=keys_of(client, page) | sold)
    assert answer.status_code == 409
    assert "“W1” showed" in answer.text
    assert answer.text.count("checked") == 2
    with sqlite_database.reading() as session:
        assert len(boards_of(session, shed.stack, TODAY)) == 4
    nothing = client.post(page, data=keys_of(client, page) | TO_B)
    assert nothing.status_code == 422
    assert "Tick the boards that go." in nothing.text


def test_an_empty_stack_says_what_to_do(client: FlaskClient, loft_stack: str) -> None:
    page = client.get(f"/stacks/{loft_stack}/boards/move").text
    assert "No boards lie in this stack today." in page
    assert f"/stacks/{loft_stack}/boards" in page
