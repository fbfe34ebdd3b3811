"""A round as a plain form: the whole stack on one page, saved at once."""

import re
from datetime import UTC, date, datetime

import pytest
from flask.testing import FlaskClient

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_in, keys_of, send
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.records.board import board_coded
from webapp.records.place import place_named
from webapp.records.reading import readings_of
from webapp.records.witness_board import live_witness_boards
from webapp.yard.move_board import move_board


def test_a_round_is_saved_board_by_board_in_one_go(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    shown = client.get(page).text
    assert shown.index(">W1<") < shown.index(">W4<")
    assert "not read yet" in shown
    assert "now likely" in shown
    typed = _typed(shed, "17,2", "17 18 17.5", "", ">30") | {
        "temperature_c": "4",
        "by": "Ann",
        "spot": "face",
        "depth": "core",
    }
    answer = send(client, page, page, **typed)
    assert answer.location == f"/stacks/{shed.stack.code}"
    assert "3 readings saved." in client.get(answer.location).text
    with sqlite_database.reading() as session:
        shown_now = [
            [r.shown for r in readings_of(session, board) if r.read_on == date(2025, 3, 9)]
            for board in shed.boards
        ]
        rounds = {r.round_id for b in shed.boards for r in readings_of(session, b) if r.round_id}
        last = readings_of(session, shed.boards[0])[-1]
    assert shown_now == [["17,2"], ["17", "18", "17.5"], [], [">30"]]
    assert len(rounds) == 1
    assert (last.wood_temperature_c, last.read_by) == (4.0, "Ann")
    assert (last.spot, last.depth) == ("face", "core")
    assert last.meter_id is not None


def test_the_meter_of_the_last_round_is_chosen(client: FlaskClient, shed: Shed) -> None:
    page = client.get(f"/stacks/{shed.stack.code}/round").text
    assert re.search(r'<option value="yellow pins"\s+selected>', page)


def test_the_same_round_sent_twice_is_kept_once(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    keys, typed = keys_of(client, page), _typed(shed, "17.2", "17.5", "17.1", "18")
    assert [client.post(page, data=keys | typed).status_code for _turn in range(2)] == [303, 303]
    with sqlite_database.reading() as session:
        assert [len(readings_of(session, board)) for board in shed.boards] == [7, 7, 7, 1]


def test_every_wrong_field_is_told_at_once_and_nothing_is_kept(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    answer = send(client, page, page, **_typed(shed, "wet", "17.5", "300", "1,2,3"))
    assert answer.status_code == 422
    for said in ("W1: Expected a reading", "W3: Expected a reading", "W4: Expected a reading"):
        assert said in answer.text
    assert 'value="17.5"' in answer.text
    assert 'value="wet"' in answer.text
    with sqlite_database.reading() as session:
        assert len(readings_of(session, shed.boards[1])) == 6


def test_what_looks_like_a_slip_is_asked_about_and_kept_if_right(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    typed = _typed(shed, "172", "17.5", "17.1", "139") | {"meter": ""}
    asked = send(client, page, page, **typed)
    assert asked.status_code == 422
    assert "W1: 172 is far from this board&#39;s other readings" in asked.text
    assert "was 17.2 meant?" in asked.text
    assert "139 is more than most meters show; was 13.9 meant?" in asked.text
    codes = [board.code for board in shed.boards]
    sure = {f"sure_{codes[0]}": "y", f"sure_{codes[3]}": "y"}
    answer = client.post(page, data=keys_in(asked.text) | typed | sure)
    assert answer.status_code == 303
    with sqlite_database.reading() as session:
        assert readings_of(session, shed.boards[3])[-1].shown == "139"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Nothing is typed yet"),
        ({"read_on": "2025-03-12"}, "this day has not come yet"),
        ({"read_on": "2024-05-01"}, "is earlier"),
        ({"meter": "blue"}, "There is no meter “blue” in the yard."),
    ],
)
def test_a_round_that_cannot_be_is_refused_whole(
    client: FlaskClient, shed: Shed, sqlite_database: Database, typed: dict[str, str], said: str
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    values = ("17.2", "17.4", "17.1", "17") if typed else ("", "", "", "")
    answer = send(client, page, page, **_typed(shed, *values) | typed)
    assert answer.status_code == 422
    assert said in answer.text
    with sqlite_database.reading() as session:
        assert len(readings_of(session, shed.boards[0])) == 6


def test_a_witness_board_of_the_place_is_read_with_the_round(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", None, make.A_MOMENT)
        place = place_named(session, "Long shed")
        witness = make.make_witness_board(session, place, mark="Old dry oak")
    page = f"/stacks/{shed.stack.code}/round"
    assert "witness board" in client.get(page).text
    typed = _typed(shed, "", "", "", "") | {f"hits_{witness.uid.hex}": "13.5"}
    assert send(client, page, page, **typed).status_code == 303
    with sqlite_database.reading() as session:
        (kept,) = live_witness_boards(session)
        assert [r.shown for r in readings_of(session, kept)] == ["13.5"]


def test_what_was_typed_for_a_board_moved_meanwhile_is_not_lost(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    keys, typed = keys_of(client, page), _typed(shed, "17.2", "17.5", "", "")
    with sqlite_database.writing() as session:
        batch = open_batch(session, "form", None, datetime(2025, 3, 8, tzinfo=UTC))
        other = make.make_stack(session, place_named(session, "Long shed"), mark="Other")
        moved = board_coded(session, shed.boards[0].code)
        sold = board_coded(session, shed.boards[1].code)
        assert moved is not None
        assert sold is not None
        move_board(session, batch, moved, other, date(2025, 3, 1))
        move_board(session, batch, sold, None, date(2025, 3, 1), "sold")
    refused = client.post(page, data=keys | typed)
    assert refused.status_code == 422
    assert "lay in none of the yard&#39;s stacks" in refused.text
    assert 'value="17.2"' in refused.text
    assert 'value="17.5"' in refused.text
    mended = typed | {f"hits_{sold.code}": ""}
    assert client.post(page, data=keys_in(refused.text) | mended).status_code == 303
    with sqlite_database.reading() as session:
        assert readings_of(session, shed.boards[0])[-1].shown == "17.2"


def test_what_was_typed_for_a_board_struck_out_meanwhile_is_told(
    client: FlaskClient, shed: Shed
) -> None:
    page = f"/stacks/{shed.stack.code}/round"
    answer = send(client, page, page, **_typed(shed, "17.2", "", "", "") | {"hits_ZZZZZ": "16.9"})
    assert answer.status_code == 422
    assert "“16.9” was typed for a board that is here no more" in answer.text


def test_a_stack_without_boards_says_what_to_do(
    client: FlaskClient, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", None, make.A_MOMENT)
        stack = make.make_stack(session)
    page = client.get(f"/stacks/{stack.code}/round").text
    assert f"/stacks/{stack.code}/boards" in page


def test_a_stack_that_is_not_there(client: FlaskClient) -> None:
    assert client.get("/stacks/QQQQQ/round").status_code == 404


def _typed(shed: Shed, *values: str) -> dict[str, str]:
    read = {f"hits_{b.code}": value for b, value in zip(shed.boards, values, strict=True)}
    return {"read_on": "2025-03-09", "meter": "yellow pins"} | read
