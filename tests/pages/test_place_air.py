"""Own air records: pasted or from a file, all or nothing, each once."""

import io

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.make_shed import Shed
from tests.pages.conftest import keys_in, keys_of
from webapp.records import Database
from webapp.records.place import Air, air_at, place_named

GOOD = "2024-05-01 12:00, 14.5, 71\n2024-05-02 12:00\t14,5\t72\n2024-05-03; 58 F; 73"


def kept(database: Database) -> list[Air]:
    with database.reading() as session:
        place = place_named(session, "Long shed")
        assert place is not None
        return list(air_at(session, place))


@pytest.fixture
def address(shed: Shed, sqlite_database: Database) -> str:
    """Where the shed's air is taken in."""
    with sqlite_database.reading() as session:
        place = place_named(session, "Long shed")
        assert place is not None
        return f"/places/{place.uid}/air"


def paste(client: FlaskClient, address: str, lines: str, **more: str) -> TestResponse:
    typed = {"lines": lines, "order": "year_first"} | more
    return client.post(address, data=keys_of(client, address) | typed)


def upload(
    client: FlaskClient, address: str, data: bytes, name: str = "log.csv", **keys: str
) -> TestResponse:
    sent = (keys or keys_of(client, address)) | {"lines": "", "order": "year_first"}
    return client.post(address, data={**sent, "file": (io.BytesIO(data), name)})


def test_pasted_lines_are_kept(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    answer = paste(client, address, GOOD)
    assert answer.location == address.removesuffix("/air")
    assert "3 air records are kept." in client.get(answer.location).text
    assert [round(one.temperature_c, 2) for one in kept(sqlite_database)] == [14.5, 14.5, 14.44]


def test_all_that_is_wrong_is_told_at_once_and_nothing_kept(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    wrong = f"{GOOD}\n<b>rubbish</b>\n2024-05-04; 14; 120\n5/5/2024; 14; 70"
    answer = paste(client, address, wrong)
    assert answer.status_code == 422
    assert "3 lines cannot be taken; nothing was kept." in answer.text
    assert "Line 4: expected a time" in answer.text
    assert "Line 5: expected a number of percent" in answer.text
    assert "Line 6: the day in “5/5/2024” does not begin with the year" in answer.text
    assert "&lt;b&gt;rubbish" in answer.text
    assert "2024-05-02 12:00\t14,5\t72" in answer.text
    assert kept(sqlite_database) == []


def test_many_wrong_lines_are_not_told_one_by_one(client: FlaskClient, address: str) -> None:
    answer = paste(client, address, "rubbish\n" * 50)
    assert "Line 20:" in answer.text
    assert "Line 21:" not in answer.text
    assert "And 30 more lines." in answer.text


def test_the_order_of_days_may_be_chosen(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    assert (
        paste(client, address, "5/6/2024 1:30 PM; 14; 70", order="month_first").status_code == 303
    )
    (one,) = kept(sqlite_database)
    assert one.at.isoformat() == "2024-05-06T13:30:00+00:00"


def test_the_same_record_is_kept_once(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    paste(client, address, GOOD)
    answer = paste(client, address, f"{GOOD}\n2024-05-04; 15; 70\n2024-05-04; 15; 70")
    page = client.get(answer.location).text
    assert "1 air record is kept. 4 were there already." in page
    assert len(kept(sqlite_database)) == 4


def test_a_form_sent_twice_is_kept_once(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    keys = keys_of(client, address)
    typed = {"lines": GOOD, "order": "year_first"}
    client.post(address, data=keys | typed)
    again = client.post(address, data=keys | typed)
    assert "This was saved already." in client.get(again.location).text
    assert len(kept(sqlite_database)) == 3


def test_a_logger_s_file_is_kept(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    text = "Time,Temperature(°F),RH(%),Dew Point(°F)\n2024-05-01 12:00,50,71,41\n"
    for encoding in ("utf-8-sig", "utf-16", "cp1252"):
        answer = upload(client, address, text.encode(encoding))
        assert answer.status_code == 303, encoding
    (one,) = kept(sqlite_database)
    assert (one.temperature_c, one.rh_pct) == (10, 71)
    assert "Columns left out: Dew Point(°F)." in client.get(answer.location).text


def test_two_files_from_one_page_are_two(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    """The back button brings the page with its old key; another file is not taken for the first."""
    keys = keys_of(client, address)
    upload(client, address, b"2024-05-01; 14; 70", **keys)
    upload(client, address, b"2024-05-02; 14; 70", **keys)
    again = upload(client, address, b"2024-05-02; 14; 70", **keys)
    assert "This was saved already." in client.get(again.location).text
    assert len(kept(sqlite_database)) == 2


def test_a_wrong_file_is_laid_open_to_be_mended(client: FlaskClient, address: str) -> None:
    answer = upload(client, address, b"2024-05-01; 14; 70\nrubbish")
    assert answer.status_code == 422
    assert "Line 2: expected a time" in answer.text
    assert "2024-05-01; 14; 70\nrubbish</textarea>" in answer.text
    mended = client.post(
        address,
        data=keys_in(answer.text) | {"lines": "2024-05-01; 14; 70", "order": "year_first"},
    )
    assert mended.status_code == 303


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\x03\x04 a spreadsheet", "save the sheet as CSV first"),
        (b"", "Paste lines, or choose a file."),
        (b"time,temp,rh\n", "There is no record in it."),
        (bytes(range(256)) * 40, "cannot be taken; nothing was kept."),
    ],
)
def test_files_that_hold_nothing(
    client: FlaskClient, address: str, sqlite_database: Database, data: bytes, said: str
) -> None:
    answer = upload(client, address, data)
    assert answer.status_code == 422
    assert said in answer.text
    assert kept(sqlite_database) == []


def test_nothing_pasted_is_told(client: FlaskClient, address: str) -> None:
    answer = paste(client, address, "  \n ")
    assert answer.status_code == 422
    assert "Paste lines, or choose a file." in answer.text


def test_odd_air_is_asked_about_and_kept_when_sure(
    client: FlaskClient, address: str, sqlite_database: Database
) -> None:
    odd = "2024-05-01; 14; 70\n2024-05-02; 130; 0"
    answer = paste(client, address, odd)
    assert answer.status_code == 422
    assert "Line 2 tells of 130\u00a0°C and 0\u00a0%." in answer.text
    typed = {"lines": odd, "order": "year_first", "sure": "y"}
    assert client.post(address, data=keys_in(answer.text) | typed).status_code == 303
    assert len(kept(sqlite_database)) == 2


def test_the_future_is_refused(client: FlaskClient, address: str) -> None:
    answer = paste(client, address, "2025-03-11; 14; 70")
    assert "Line 1: expected a day that has come; found 2025-03-11." in answer.text


def test_an_unknown_place_is_not_found(client: FlaskClient) -> None:
    answer = client.get("/places/00000000-0000-7000-8000-000000000000/air")
    assert answer.status_code == 404
