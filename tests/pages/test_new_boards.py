"""Boards in bulk: looked at, then saved, once; their log; and what is refused."""

import re
from datetime import date

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests import make
from tests.make_shed import Shed
from tests.pages.conftest import keys_in, send
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.records.board import board_marked, boards_of, live_boards
from webapp.records.log import log_marked

STACKED = "2024-06-01"
TYPED = {
    "lines": "12 boards 32 mm x 180 mm x 1.2 m flat",
    "species": "white oak",
    "first_mark": "W5",
    "stacked_on": STACKED,
}


def page_of(shed: Shed) -> str:
    return f"/stacks/{shed.stack.code}/boards"


def look_at(client: FlaskClient, shed: Shed, **typed: str) -> TestResponse:
    return send(client, page_of(shed), page_of(shed), look="1", **TYPED | typed)


def save(client: FlaskClient, shed: Shed, seen: TestResponse, **typed: str) -> TestResponse:
    keys = keys_in(seen.text)
    return client.post(page_of(shed), data=keys | TYPED | typed | {"save": "1"})


def test_a_dozen_boards_are_looked_at_and_saved(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    fresh = client.get(page_of(shed)).text
    assert 'value="W5"' in fresh
    assert 'value="white oak"' in fresh
    seen = look_at(client, shed, sawn_on="2024-05-30", target_pct="12,5")
    assert seen.status_code == 200
    assert "12 boards, 0.083 m³" in seen.text.replace("\u00a0", " ")
    assert seen.text.count("32 × 180 mm × 1.2 m".replace(" m", "\u00a0m")) == 12
    assert "Save 12 boards" in seen.text
    with sqlite_database.reading() as session:
        assert len(live_boards(session)) == 4
    kept = save(client, shed, seen, sawn_on="2024-05-30", target_pct="12,5")
    assert kept.status_code == 303
    assert kept.location == f"/stacks/{shed.stack.code}"
    assert "12 boards added: W5 to W16." in client.get(kept.location).text
    with sqlite_database.reading() as session:
        board = board_marked(session, "W16")
        there = boards_of(session, shed.stack, date(2024, 6, 1))
        assert len(there) == 16
    assert board is not None
    assert (board.thickness_mm, board.width_mm, board.length_mm) == (32.0, 180.0, 1200.0)
    assert (board.grain, board.species, board.target_pct) == ("flat", "white oak", 12.5)
    assert board.sawn_on == date(2024, 5, 30)


def test_five_hundred_boards_in_one_line_are_saved(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    seen = look_at(client, shed, lines="500 boards 27 mm")
    assert "and 400 more, up to W504" in seen.text
    assert save(client, shed, seen, lines="500 boards 27 mm").status_code == 303
    with sqlite_database.reading() as session:
        assert len(live_boards(session)) == 504


def test_boards_sent_twice_are_saved_once(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    lines = "W7 W8: 27 mm"
    seen = look_at(client, shed, lines=lines)
    first = save(client, shed, seen, lines=lines)
    client.get(first.location)
    second = save(client, shed, seen, lines=lines)
    assert (first.status_code, second.status_code) == (303, 303)
    assert "This was saved already." in client.get(second.location).text
    with sqlite_database.reading() as session:
        assert len(live_boards(session)) == 6


def test_only_what_was_looked_at_is_saved(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    unseen = send(client, page_of(shed), page_of(shed), save="1", **TYPED)
    assert unseen.status_code == 409
    assert "These are not the boards you looked at. Look again, then save." in unseen.text
    assert "Save 12 boards" in unseen.text
    other = save(client, shed, unseen, lines="13 boards 27 mm")
    assert other.status_code == 409
    assert "Save 13 boards" in other.text
    with sqlite_database.reading() as session:
        assert len(live_boards(session)) == 4
    assert save(client, shed, other, lines="13 boards 27 mm").status_code == 303


def test_a_mark_taken_meanwhile_is_passed_over_but_shown_first(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    seen = look_at(client, shed, lines="2 boards 27 mm")
    with sqlite_database.writing() as session:
        open_batch(session, "form", "helper", make.A_MOMENT)
        make.make_board(session, session.merge(shed.stack), mark="W6")
    late = save(client, shed, seen, lines="2 boards 27 mm")
    assert late.status_code == 409
    assert ">W7</th>" in late.text
    assert save(client, shed, late, lines="2 boards 27 mm").status_code == 303
    with sqlite_database.reading() as session:
        assert {board.mark for board in live_boards(session)} >= {"W5", "W6", "W7"}


def test_a_new_log_is_written_down_with_its_boards(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    typed = {"lines": "6 boards 27 mm turns 3-8 of 9", "log": "L9", "sawn_on": "2024-05-30"}
    seen = look_at(client, shed, **typed)
    assert "Log L9 is new: it is written down too, as white oak." in seen.text
    assert save(client, shed, seen, **typed).status_code == 303
    with sqlite_database.reading() as session:
        log, board = log_marked(session, "L9"), board_marked(session, "W5")
        assert log is not None
        assert board is not None
        assert (log.species, log.sawn_on) == ("white oak", date(2024, 5, 30))
        assert (board.log, board.turn) == (log, "3 of 9")


def test_boards_of_another_species_than_their_log_are_asked_about(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        make.make_log(session, mark="L3", species="white ash", sawn_on=date(2024, 5, 20))
    asked = look_at(client, shed, log="L3")
    assert asked.status_code == 422
    assert "Log “L3” is written down as white ash, but these boards are white oak." in asked.text
    seen = look_at(client, shed, log="L3", sure="y")
    assert seen.status_code == 200
    assert '<input checked id="sure" name="sure"' in seen.text
    assert save(client, shed, seen, log="L3").status_code == 422
    assert save(client, shed, seen, log="L3", sure="y").status_code == 303
    with sqlite_database.reading() as session:
        board = board_marked(session, "W5")
        assert board is not None
        assert board.log is not None
        assert (board.log.mark, board.sawn_on) == ("L3", date(2024, 5, 20))


def test_a_new_log_is_of_one_species(client: FlaskClient, shed: Shed) -> None:
    answer = look_at(client, shed, lines="1 white ash 27 mm\n1 board 27 mm", log="L9")
    assert answer.status_code == 422
    assert "A log is of one species; these boards are white ash, white oak." in answer.text


def test_every_faulty_line_is_told_and_nothing_typed_is_lost(
    client: FlaskClient, shed: Shed
) -> None:
    odd = "\U0001f332 \u05dc\u05d5\u05d7"
    lines = f"\n6 boards 32 x 180 x 1.2\n<b>six</b> boards\n3 boards 40 mm\n{odd}"
    answer = look_at(client, shed, lines=lines, first_mark="Q1", log="L<1>", target_pct="12,5")
    assert answer.status_code == 422
    assert "Line 2: length: expected millimetres" in answer.text.replace("\u00a0", " ")
    assert "was 1.2 m meant?<" in answer.text.replace("\u00a0", " ")
    assert "Line 3: expected a whole number of boards in front" in answer.text
    assert "Line 5: expected boards, such as" in answer.text
    assert "Line 4" not in answer.text
    assert "&lt;b&gt;six&lt;/b&gt; boards\n3 boards 40 mm\n\U0001f332" in answer.text.replace(
        "\r", ""
    )
    for kept in ('value="Q1"', 'value="L&lt;1&gt;"', 'value="12,5"', f'value="{STACKED}"'):
        assert kept in answer.text
    assert "Save " not in re.sub(r"<title>.*?</title>", "", answer.text)


def test_what_is_no_day_no_species_no_mark_is_refused_by_its_field(
    client: FlaskClient, shed: Shed
) -> None:
    cases = {
        "species": ("oak", "“oak” may mean several: write one of"),
        "stacked_on": ("2024-05-03", "The stack was set up on 2024-05-04"),
        "sawn_on": ("2024-06-02", "Expected the day of stacking or one before it."),
        "first_mark": ("", "Mark of the first board: This is needed."),
        "log": ("l" * 10_000, "Expected a mark of 1 to 60 signs"),
        "target_pct": ("99", "Expected a number of percent from 2 to 60"),
        "thickness_mm": ("thick", "Expected millimetres from 3 to 600"),
        "lines": ("", "Boards: Line 1: expected boards, such as"),
    }
    for name, (typed, said) in cases.items():
        answer = look_at(client, shed, **{name: typed})
        assert answer.status_code == 422
        assert said in answer.text
    future = look_at(client, shed, stacked_on="2025-03-11")
    assert "this day has not come yet" in future.text


def test_lines_of_ten_thousand_signs_are_answered(client: FlaskClient, shed: Shed) -> None:
    answer = look_at(client, shed, lines="6 x " * 2500)
    assert answer.status_code == 422
    assert "expected a line of at most 4000 signs" in answer.text


def test_inches_are_read_and_shown_to_a_person_of_inches(client: FlaskClient, shed: Shed) -> None:
    client.set_cookie("flitchbook_look", "inch.month_first")
    assert "6 boards 5/4 x 7 in x 8 ft flat" in client.get(page_of(shed)).text
    seen = look_at(client, shed, lines="6 x 5/4 x 7 x 8")
    assert "1 1/4 × 7 in × 8 ft" in seen.text.replace("\u00a0", " ")


def test_an_unknown_stack_is_not_found(client: FlaskClient, shed: Shed) -> None:
    assert client.get("/stacks/XXXXX/boards").status_code == 404


def test_a_stack_that_stands_nowhere_takes_no_boards(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", make.A_MOMENT)
        stack = session.merge(shed.stack)
        stack.stays[0].strike(make.A_MOMENT, None, "by mistake")
    answer = client.get(page_of(shed))
    assert answer.status_code == 422
    assert "stands nowhere yet" in answer.text


def test_boards_added_are_taken_back_with_one_button(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    kept = save(client, shed, look_at(client, shed, log="L9"), log="L9")
    undo = re.search(r'action="(/history/[^"]+)"', client.get(kept.location).text)
    assert undo
    keys = keys_in(client.get(page_of(shed)).text)
    secret = {"csrf_token": keys["csrf_token"], "uid": keys["uid"], "back": kept.location}
    assert client.post(undo[1], data=secret).status_code == 303
    with sqlite_database.reading() as session:
        assert len(live_boards(session)) == 4
        assert log_marked(session, "L9") is None
