"""A board changed and struck out; by two people at once; and what is refused."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_in, keys_of, send
from webapp.records import Board, Database
from webapp.records.batch import changes_of, open_batch
from webapp.records.board import board_coded, stays_of_board

TYPED = {
    "board": "W1 <left>",
    "species": "Quercus alba",
    "thickness_mm": "27 mm",
    "width_mm": "18 cm",
    "width_end_mm": "210",
    "length_mm": "2,4 m",
    "grain": "quarter",
    "stacked_on": "2024-05-06",
    "sawn_on": "2024-05-03",
    "turn": "3 of 9",
    "target_pct": "12,5",
    "borate": "dipped in May",
}


def page_of(shed: Shed, which: int = 0) -> str:
    return f"/boards/{shed.boards[which].code}/edit"


def board_in(database: Database, shed: Shed, which: int = 0) -> Board:
    with database.reading() as session:
        board = board_coded(session, shed.boards[which].code)
        assert board is not None
        assert board.log is None or board.log.mark
        assert stays_of_board(session, board)
        return board


def test_a_board_is_changed(client: FlaskClient, shed: Shed, sqlite_database: Database) -> None:
    fresh = client.get(page_of(shed)).text
    for known in ("W1", "white oak", "27 mm", "180 mm", "2.4 m", "2024-05-04"):
        assert f'value="{known}"' in fresh
    answer = send(client, page_of(shed), page_of(shed), **TYPED)
    assert answer.status_code == 303
    assert "Board W1 &lt;left&gt; is changed." in client.get(answer.location).text
    board = board_in(sqlite_database, shed)
    assert (board.mark, board.species, board.grain) == ("W1 <left>", "white oak", "quarter")
    assert (board.width_mm, board.width_end_mm, board.length_mm) == (180.0, 210.0, 2400.0)
    assert (board.turn, board.target_pct, board.borate) == ("3 of 9", 12.5, "dipped in May")
    assert board.sawn_on == date(2024, 5, 3)
    with sqlite_database.reading() as session:
        assert stays_of_board(session, shed.boards[0])[0].from_on == date(2024, 5, 6)


def test_sizes_not_touched_stay_as_they_are_for_a_person_of_inches(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    client.set_cookie("flitchbook_look", "inch.month_first")
    fresh = client.get(page_of(shed)).text
    assert 'value="1 1/16 in"' in fresh
    typed = {
        "board": "W1",
        "species": "white oak",
        "thickness_mm": "1 1/16 in",
        "width_mm": "7 1/16 in",
        "length_mm": "8 ft",
        "stacked_on": "2024-05-04",
        "sawn_on": "2024-05-04",
    }
    assert send(client, page_of(shed), page_of(shed), **typed).status_code == 303
    board = board_in(sqlite_database, shed)
    assert (board.thickness_mm, board.width_mm, board.length_mm) == (27.0, 180.0, 8 * 304.8)
    with sqlite_database.reading() as session:
        (change,) = changes_of(session, board)
    assert set(change.before) == {"length_mm"}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"board": ""}, "Mark: This is needed."),
        ({"board": "W2"}, "There is already a board “W2” in the yard"),
        ({"board": "m" * 10_000}, "Expected a mark of 1 to 60 signs"),
        ({"species": "oak"}, "“oak” may mean several: write one of"),
        ({"species": "\U0001f332"}, "is not in the species table"),
        ({"thickness_mm": ""}, "Thickness: This is needed."),
        ({"thickness_mm": "2.5"}, "was 2.5 cm or 2.5 in meant?"),
        ({"length_mm": "1.2"}, "was 1.2 m meant?"),
        ({"width_mm": ""}, "Expected the width at the first end too, or neither."),
        ({"grain": "wavy"}, "Expected one of flat, quarter, mixed"),
        ({"log": "L9"}, "There is no log “L9” in the yard."),
        ({"sawn_on": "2025-03-11"}, "this day has not come yet"),
        ({"stacked_on": "2025-03-12"}, "this day has not come yet"),
        ({"stacked_on": "2024-05-01", "sawn_on": ""}, "the stack was set up on 4 May 2024."),
        ({"stacked_on": "2024-06-04"}, "showed 29.5 on 3 June 2024"),
        ({"target_pct": "1"}, "Expected a number of percent from 2 to 60"),
    ],
)
def test_what_cannot_be_taken_comes_back_as_typed(
    client: FlaskClient, shed: Shed, sqlite_database: Database, typed: dict[str, str], said: str
) -> None:
    answer = send(client, page_of(shed), page_of(shed), **TYPED | typed)
    assert answer.status_code in {409, 422}
    assert said in answer.text.replace("\u00a0", " ")
    assert 'value="dipped in May"' in answer.text
    assert board_in(sqlite_database, shed).mark == "W1"


def test_a_board_of_another_species_than_its_log_is_asked_about(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_log(session, mark="L3", species="white ash")
    typed = TYPED | {"log": "L3"}
    asked = send(client, page_of(shed), page_of(shed), **typed)
    assert asked.status_code == 422
    assert "Log “L3” is written down as white ash, but this board is white oak." in asked.text
    sure = client.post(page_of(shed), data=keys_in(asked.text) | typed | {"sure": "y"})
    assert sure.status_code == 303
    with sqlite_database.reading() as session:
        board = board_coded(session, shed.boards[0].code)
        assert board is not None
        assert board.log is not None
        assert board.log.mark == "L3"
    again = send(client, page_of(shed), page_of(shed), **typed | {"turn": "4 of 9"})
    assert again.status_code == 303


def test_the_second_of_two_people_is_told_and_loses_nothing(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    keys = keys_of(client, page_of(shed))
    send(client, page_of(shed), page_of(shed), **TYPED)
    mine = TYPED | {"board": "W1", "thickness_mm": "30", "turn": "4 of 9"}
    second = client.post(page_of(shed), data=keys | mine)
    assert second.status_code == 409
    assert "Somebody else changed this while you were typing" in second.text
    assert "Was empty, was changed to 3 of 9; you typed this." in second.text
    assert 'value="4 of 9"' in second.text
    assert 'value="30"' in second.text
    assert 'value="W1 &lt;left&gt;"' in second.text
    third = client.post(page_of(shed), data=keys_in(second.text) | mine)
    assert third.status_code == 303
    assert board_in(sqlite_database, shed).thickness_mm == 30.0


def test_a_board_entered_by_mistake_is_struck_out(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    address = page_of(shed, 3).replace("edit", "strike")
    keys = keys_of(client, page_of(shed, 3))
    sent = [client.post(address, data=keys | {"why": "counted twice"}) for _time in range(2)]
    assert [answer.status_code for answer in sent] == [303, 303]
    assert sent[0].location == f"/stacks/{shed.stack.code}"
    page = client.get(sent[0].location).text
    assert "The board is struck out." in page
    assert ">W4</a>" not in page
    assert client.get(page_of(shed, 3)).status_code == 404
    with sqlite_database.reading() as session:
        assert not stays_of_board(session, shed.boards[3])


def test_a_board_that_was_read_is_not_struck_out(client: FlaskClient, shed: Shed) -> None:
    answer = send(client, page_of(shed), page_of(shed).replace("edit", "strike"))
    assert answer.location == page_of(shed)
    page = client.get(answer.location).text
    assert "The reading 29.5 of “W1” on" in page
    assert "first." in page
    assert f"{page_of(shed).replace('edit', 'move')}" in page


def test_an_unknown_board_is_not_found(client: FlaskClient) -> None:
    assert client.get("/boards/XXXXX/edit").status_code == 404
