"""History: what was done, in words; undone and done again; what stands in the way is said."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from sqlalchemy import event
from sqlalchemy.orm import Session
from werkzeug.test import TestResponse

from tests.make_shed import NOW, TODAY, Shed
from tests.pages.conftest import keys_of
from tests.yard.folders import sound_folder
from tests.yard.undoing import BOARD, LOFT, READING, SHED, STACK, done, exported, undo
from webapp.entry.entries import MeterEntry, WitnessEntry
from webapp.entry.reading_text import hits
from webapp.pages.history_words import what_it_did
from webapp.records import Batch, Database, Stack
from webapp.records.batch import latest_batches
from webapp.records.board import board_marked
from webapp.records.place import place_named
from webapp.records.reading import readings_of
from webapp.records.stack import stack_marked
from webapp.yard.add_boards import add_boards
from webapp.yard.build_stack import build_stack
from webapp.yard.change_board import change_board
from webapp.yard.change_place import change_place
from webapp.yard.change_stack import change_stack
from webapp.yard.keep_witness import keep_witness
from webapp.yard.log_reading import log_reading
from webapp.yard.move_board import move_board
from webapp.yard.move_stack import move_stack
from webapp.yard.note_event import note_event
from webapp.yard.recount import recount
from webapp.yard.set_up_meter import set_up_meter
from webapp.yard.set_up_place import set_up_place
from webapp.yard.strike_reading import strike_reading
from webapp.yard.strike_record import strike_record
from webapp.yard.take_in_folder import take_in_folder

LATER = date(2024, 4, 10)
MANY = [replace(BOARD, board=f"X{number}") for number in range(1, 13)]


@pytest.fixture
def stack(sqlite_database: Database) -> Stack:
    """Two places, a stack with two boards, a meter."""
    with sqlite_database.writing() as session:
        for place in (SHED, LOFT):
            done(session, set_up_place, place)
        done(session, build_stack, STACK)
        stack = _stack(session)
        done(session, add_boards, stack, [BOARD, replace(BOARD, board="W8")])
        done(session, set_up_meter, MeterEntry("m1"))
    return stack


def _stack(session: Session) -> Stack:
    found = stack_marked(session, "A")
    assert found
    return found


Do = Callable[[Session], Batch]


def _told(database: Database, *deeds: Do) -> list[str]:
    """Do things, and give what is said of the last one."""
    with database.writing() as session:
        for deed in deeds:
            batch = deed(session)
        (told,) = recount(session, [batch])
        return what_it_did(told)


def _move_board(session: Session, stack: str | None, why: str | None = None) -> Batch:
    board = board_marked(session, "W7")
    return done(session, move_board, board, stack and stack_marked(session, stack), LATER, why)


def _strike_reading(session: Session) -> Batch:
    board = board_marked(session, "W7")
    assert board
    return done(session, strike_reading, readings_of(session, board)[0], "slip")


@pytest.mark.parametrize(
    ("deeds", "said"),
    [
        ([lambda s: done(s, set_up_place, replace(SHED, place="barn"))], "added place barn"),
        ([lambda s: done(s, set_up_meter, MeterEntry("m2"))], "described meter m2"),
        ([lambda s: done(s, build_stack, replace(STACK, stack="B"))], "set up stack B"),
        ([lambda s: done(s, add_boards, _stack(s), MANY[:1])], "added board X1"),
        ([lambda s: done(s, add_boards, _stack(s), MANY[:3])], "added 3 boards, X1, X2, X3"),
        ([lambda s: done(s, add_boards, _stack(s), MANY)], "added 12 boards, X1 to X12"),
        (
            [lambda s: done(s, keep_witness, WitnessEntry("Z", "shed", "white oak", 32.0))],
            "added witness board Z",
        ),
        (
            [lambda s: done(s, move_stack, _stack(s), place_named(s, "loft"), LATER)],
            "moved stack A to loft",
        ),
        (
            [
                lambda s: done(s, build_stack, replace(STACK, stack="B")),
                lambda s: _move_board(s, "B"),
            ],
            "moved board W7 to stack B",
        ),
        ([lambda s: _move_board(s, None)], "took board W7 out of the stacks"),
        ([lambda s: _move_board(s, None, "sold")], "took board W7 out of the stacks: sold"),
        ([lambda s: done(s, log_reading, READING)], "noted reading 13.5 of W7, read on 2024-04-01"),
        (
            [lambda s: done(s, log_reading, replace(READING, hits=hits("13 14 15")))],
            "noted 3 readings, W7, read on 2024-04-01",
        ),
        (
            [lambda s: done(s, log_reading, READING), _strike_reading],
            "struck out reading 13.5 of W7: slip",
        ),
        ([lambda s: done(s, note_event, _stack(s), "covered", LATER)], "noted “covered” of A"),
        (
            [
                lambda s: done(s, build_stack, replace(STACK, stack="B")),
                lambda s: done(s, strike_record, stack_marked(s, "B"), "a mistake"),
            ],
            "struck out stack B: a mistake",
        ),
        (
            [
                lambda s: done(
                    s,
                    change_board,
                    board_marked(s, "W7"),
                    replace(BOARD, thickness_mm=38.0, grain="flat", stacked_on=LATER),
                )
            ],
            "changed board W7: thickness, how it was sawn, when it was stacked",
        ),
        (
            [
                lambda s: done(
                    s, change_stack, _stack(s), replace(STACK, place="loft", note="north side")
                )
            ],
            "changed stack A: place, note",
        ),
        (
            [
                lambda s: done(
                    s,
                    change_place,
                    place_named(s, "shed"),
                    replace(SHED, place="barn", rh_pct=(80.0,) * 12),
                )
            ],
            "changed place barn: name, humidity",
        ),
    ],
)
def test_each_deed_in_words(
    sqlite_database: Database, stack: Stack, deeds: list[Do], said: str
) -> None:
    assert stack.mark == "A"
    assert _told(sqlite_database, *deeds) == [said]


def test_an_import_is_counted(
    client: FlaskClient, sqlite_database: Database, tmp_path: Path
) -> None:
    with sqlite_database.writing() as session:
        take_in_folder(session, sound_folder(tmp_path / "in"), NOW, TODAY)
    page = client.get("/history/").text
    assert "Imported a folder: 2 places, 1 meter, 2 stacks, 3 boards, 4 readings" in page
    _press(client, "Imported a folder")
    with sqlite_database.reading() as session:
        assert {text.count(b"\n") for text in exported(session).values()} == {1}


def test_an_empty_yard_says_what_comes_here(client: FlaskClient) -> None:
    assert "Nothing was done yet." in client.get("/history/").text


def test_who_and_when(client: FlaskClient, shed: Shed) -> None:
    page = client.get("/history/").text
    assert shed.boards
    assert "keeper" in page
    assert "4 May 2024" in page


def test_a_form_saved_as_it_was_is_no_deed(
    client: FlaskClient, sqlite_database: Database, stack: Stack
) -> None:
    before = client.get("/history/").text.count('class="deed"')
    with sqlite_database.writing() as session:
        done(session, change_stack, stack_marked(session, "A"), STACK)
        assert len(latest_batches(session, 99)) == before + 1
    assert client.get("/history/").text.count('class="deed"') == before


def _row(client: FlaskClient, deed: str) -> str:
    rows = client.get("/history/").text.split("<li")
    return next(row for row in rows if deed in unescape(row))


def _press(client: FlaskClient, deed: str, **more: str) -> TestResponse:
    """Press the button beside a deed."""
    row = _row(client, deed)
    action = re.search(r'action="([^"]+)"', row)
    assert action
    hidden = dict(re.findall(r'<input type="hidden" name="([a-z_]+)" value="([^"]*)"', row))
    return client.post(action[1], data=hidden | more)


def test_undone_and_done_again(
    client: FlaskClient, sqlite_database: Database, stack: Stack
) -> None:
    with sqlite_database.reading() as session:
        before = exported(session)
    answer = _press(client, "Added 2 boards, W7, W8")
    assert (answer.status_code, answer.location) == (303, "/history/")
    page = client.get("/history/").text
    assert "Undone: added 2 boards, W7, W8." in page
    assert page.count("Redo") == 2  # above, and beside the deed
    assert "undone on 10 March 2025" in page
    with sqlite_database.reading() as session:
        assert board_marked(session, "W7") is None
    assert _press(client, "Added 2 boards").status_code == 303
    page = client.get("/history/").text
    assert "Done again: added 2 boards, W7, W8." in page
    assert "undone on" not in page
    with sqlite_database.reading() as session:
        assert exported(session) == before


def test_the_button_after_undoing_does_it_again(
    client: FlaskClient, sqlite_database: Database, stack: Stack
) -> None:
    _press(client, "Described meter m1", back="/meters/")
    said = client.get("/meters/").text.split('class="said"')[1]
    action = re.search(r'action="([^"]+)"', said)
    assert action
    hidden = dict(re.findall(r'<input type="hidden" name="([a-z_]+)" value="([^"]*)"', said))
    answer = client.post(action[1], data=hidden)
    assert answer.location == "/meters/"
    assert "Done again: described meter m1." in client.get("/meters/").text


def test_a_double_tap_undoes_once(client: FlaskClient, stack: Stack) -> None:
    row = _row(client, "Described meter m1")
    hidden = dict(re.findall(r'<input type="hidden" name="([a-z_]+)" value="([^"]*)"', row))
    address = re.findall(r'action="([^"]+)"', row)[0]
    for _tap in range(2):
        assert client.post(address, data=hidden).status_code == 303
    assert "This was undone already." in client.get("/history/").text
    # From another window, drawn before: another key.
    hidden["uid"] = "018f4a5e-0000-7000-8000-000000000009"
    client.post(address, data=hidden)
    assert "This was undone already, on 10 March 2025." in client.get("/history/").text


def test_what_stands_in_the_way_is_said_and_nothing_is_undone(
    client: FlaskClient, sqlite_database: Database, stack: Stack
) -> None:
    answer = _press(client, "Set up stack A", back=f"/stacks/{stack.code}")
    assert answer.location == f"/stacks/{stack.code}"
    page = unescape(client.get("/history/").text)
    assert "The board “W7” and 1 more lay in the stack “A”. Undo that or strike them out" in page
    assert "undone on" not in page


def test_after_undoing_the_page_before_is_shown_if_it_is_there_still(
    client: FlaskClient, stack: Stack
) -> None:
    page = f"/stacks/{stack.code}"
    assert _press(client, "Added 2 boards", back=f"{page}?x=1#boards").location.endswith("#boards")
    # The stack is gone, and its page with it.
    assert _press(client, "Set up stack A", back=page).location == "/history/"
    assert _press(client, "Set up stack A", back=page).location == page


@pytest.mark.parametrize("kind", ["places", "meters"])
def test_after_undoing_the_page_of_what_is_gone_is_not_shown(
    client: FlaskClient, sqlite_database: Database, stack: Stack, kind: str
) -> None:
    with sqlite_database.reading() as session:
        place = place_named(session, "loft")
        assert place
    page = f"/{kind}/{place.uid}" + ("/edit" if kind == "meters" else "")
    assert _press(client, "Described meter m1", back=page).location == page
    assert _press(client, "Added place loft", back=page).location == "/history/"


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere", "", "/nowhere"]
)
def test_it_leads_to_no_strange_page(client: FlaskClient, stack: Stack, back: str) -> None:
    assert _press(client, "Described meter m1", back=back).location == "/history/"


def test_what_is_not_in_the_history(client: FlaskClient, stack: Stack) -> None:
    keys = keys_of(client, "/meters/new")
    answer = client.post("/history/018f4a5e-0000-7000-8000-000000000001/undo", data=keys)
    assert answer.status_code == 303
    assert "There is nothing of that kind in the history." in client.get("/history/").text
    assert client.post("/history/x/undo", data=keys).status_code == 404
    assert client.get("/history/018f4a5e-0000-7000-8000-000000000001/undo").status_code == 405


def test_without_its_secret_nothing_is_undone(
    client: FlaskClient, sqlite_database: Database, stack: Stack
) -> None:
    with sqlite_database.reading() as session:
        batch = latest_batches(session, 1)[0]
    assert client.post(f"/history/{batch.uid}/undo").status_code == 400
    assert "undone on" not in client.get("/history/").text


def test_many_sittings_in_few_questions(
    client: FlaskClient, sqlite_database: Database, stack: Stack
) -> None:
    def asked() -> int:
        questions: list[str] = []

        def note(*arguments: object) -> None:
            questions.append(str(arguments[2]))

        event.listen(sqlite_database.engine, "before_cursor_execute", note)
        assert client.get("/history/").status_code == 200
        event.remove(sqlite_database.engine, "before_cursor_execute", note)
        return len(questions)

    with sqlite_database.writing() as session:
        _everything(session, "first")
    few = asked()
    with sqlite_database.writing() as session:
        for number in range(12):
            _everything(session, f"more{number}")
    assert asked() <= few
    assert client.get("/history/").text.count('class="deed"') == 50


def _everything(session: Session, mark: str) -> None:
    entry = replace(STACK, stack=mark)
    done(session, build_stack, entry)
    stack = stack_marked(session, mark)
    done(session, add_boards, stack, [replace(BOARD, board=mark)])
    done(session, log_reading, replace(READING, board=mark))
    done(session, move_stack, stack, place_named(session, "loft"), LATER)
    done(session, change_stack, stack, replace(entry, note="north"))
    undo(session, done(session, note_event, stack, "covered", LATER))


def test_names_are_only_names(client: FlaskClient, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        done(session, set_up_place, replace(SHED, place='<b>"עץ" 100% 🪵'))
    page = client.get("/history/").text
    assert '<b>"' not in page
    assert 'Added place <b>"עץ" 100% 🪵' in unescape(page)
