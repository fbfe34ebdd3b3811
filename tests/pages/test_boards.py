import re
from datetime import UTC, date, datetime
from uuid import UUID

from flask.testing import FlaskClient
from sqlalchemy import func, select

from tests.make_shed import Shed
from tests.pages.conftest import send
from webapp.records import Batch, Database, Reading
from webapp.records.batch import open_batch
from webapp.records.board import board_coded
from webapp.records.reading import readings_of
from webapp.yard.move_board import move_board

TYPED = {"reading": "17,2", "read_on": "2025-03-09", "meter": "yellow pins", "spot": "face"}


def readings(database: Database) -> int:
    with database.reading() as session:
        return session.scalar(select(func.count(Reading.id))) or 0


def test_a_board_tells_facts_verdict_chart_and_readings(client: FlaskClient, shed: Shed) -> None:
    answer = client.get(f"/boards/{shed.boards[0].code}")
    assert answer.status_code == 200
    for said in (
        "white oak",
        "27 × 180\u00a0mm × 2.4\u00a0m, 0.012\u00a0m³",
        "4 May 2024",
        "Oak &lt;1&gt;",
        "29.5",
    ):
        assert said in answer.text
    assert answer.text.count("Strike out<") == 6
    assert 'id="chart-data"' in answer.text


def test_a_board_never_read_asks_to_be_read(client: FlaskClient, shed: Shed) -> None:
    answer = client.get(f"/boards/{shed.boards[3].code}")
    assert answer.status_code == 200
    assert "Not read yet." in answer.text


def test_a_reading_is_kept_and_shown(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    answer = send(client, page, f"{page}/readings", **TYPED)
    assert answer.status_code == 303
    assert answer.headers["Location"] == page
    assert "Saved: 17,2" in client.get(page).text
    with sqlite_database.reading() as session:
        kept = readings_of(session, shed.boards[0])[-1]
        batch = session.get(Batch, kept.batch_id)
        assert (kept.shown, kept.value, kept.spot) == ("17,2", 17.2, "face")
        assert batch
        assert batch.kind == "form"


def test_several_pushes_are_kept_as_hits_of_one_reading(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    assert send(client, page, f"{page}/readings", reading="17.5 18 >30").status_code == 303
    with sqlite_database.reading() as session:
        hits = readings_of(session, shed.boards[0])[-3:]
        assert [(hit.shown, hit.hit, hit.over) for hit in hits] == [
            ("17.5", 1, False),
            ("18", 2, False),
            (">30", 3, True),
        ]


def test_sending_twice_keeps_once(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    uid = re.search(r'name="uid" value="([^"]+)"', client.get(page).text)
    assert uid
    assert UUID(uid[1]).version == 7
    before = readings(sqlite_database)
    for _time in range(2):
        assert send(client, page, f"{page}/readings", uid=uid[1], **TYPED).status_code == 303
    assert readings(sqlite_database) == before + 1


def test_the_same_form_with_another_value_is_a_conflict_and_may_be_kept_beside(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    uid = "01890000-0000-7000-8000-000000000001"
    assert send(client, page, f"{page}/readings", uid=uid, **TYPED).status_code == 303
    again = TYPED | {"reading": "16.9"}
    answer = send(client, page, f"{page}/readings", uid=uid, **again)
    assert answer.status_code == 409
    fresh = re.search(r'name="uid" value="([^"]+)"', answer.text)
    assert fresh
    assert fresh[1] != uid
    assert send(client, page, f"{page}/readings", uid=fresh[1], **again).status_code == 303
    with sqlite_database.reading() as session:
        shown = [reading.shown for reading in readings_of(session, shed.boards[0])[-2:]]
    assert shown == ["17,2", "16.9"]


def test_what_cannot_be_kept_comes_back_with_all_that_was_typed(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    before = readings(sqlite_database)
    typed = TYPED | {"reading": "damp", "temperature_c": "warm", "note": "<near the knot>"}
    answer = send(client, page, f"{page}/readings", **typed)
    assert answer.status_code == 422
    assert readings(sqlite_database) == before
    for value in ("damp", "warm", "2025-03-09", "&lt;near the knot&gt;"):
        assert value in answer.text
    assert re.search(r'<option value="yellow pins"\s+selected', answer.text)
    for field in ("reading", "temperature_c"):
        assert f'href="#{field}"' in answer.text
        assert f'id="{field}-error"' in answer.text
        assert re.search(
            rf'<input[^>]*aria-describedby="[^"]*{field}-error"[^>]*id="{field}"', answer.text
        )


def test_an_empty_reading_a_day_to_come_and_a_foreign_day_are_refused(
    client: FlaskClient, shed: Shed
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    assert send(client, page, f"{page}/readings", reading=" ").status_code == 422
    answer = send(client, page, f"{page}/readings", reading="17", read_on="2025-03-11")
    assert answer.status_code == 422
    assert "has not come yet" in answer.text
    answer = send(client, page, f"{page}/readings", reading="17", read_on="03/09/2025")
    assert answer.status_code == 422
    assert 'value="03/09/2025"' in answer.text


def test_a_reading_before_stacking_is_refused_with_the_form(
    client: FlaskClient, shed: Shed
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    answer = send(client, page, f"{page}/readings", reading="17", read_on="2024-01-02")
    assert answer.status_code == 422
    assert "was stacked on 4 May 2024" in answer.text
    assert 'value="2024-01-02"' in answer.text


def test_a_slip_of_the_finger_is_asked_about_and_kept_when_sure(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    page = f"/boards/{shed.boards[0].code}"
    before = readings(sqlite_database)
    answer = send(client, page, f"{page}/readings", reading="175", meter="yellow pins")
    assert answer.status_code == 422
    assert "was 17.5 meant?" in answer.text
    assert readings(sqlite_database) == before
    answer = send(client, page, f"{page}/readings", reading="175", meter="yellow pins", sure="y")
    assert answer.status_code == 303
    assert readings(sqlite_database) == before + 1


def test_a_stack_is_gone_through_board_by_board(client: FlaskClient, shed: Shed) -> None:
    first, second, *_rest, last = shed.boards
    page = client.get(f"/boards/{first.code}").text
    assert f'href="/boards/{second.code}"' in page
    assert client.get(f"/boards/{last.code}").text.count("→") == 0


def test_a_board_that_was_sold_says_so_and_asks_for_no_reading(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        batch = open_batch(session, "form", None, datetime(2025, 3, 9, tzinfo=UTC))
        board = board_coded(session, shed.boards[0].code)
        assert board is not None
        move_board(session, batch, board, None, date(2025, 3, 9), "sold")
    page = client.get(f"/boards/{shed.boards[0].code}").text
    assert 'id="gone">sold</h2>' in page
    assert "since 9 March 2025" in page
    assert "Save reading" not in page
