import csv
import io
import sqlite3
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from unittest.mock import sentinel

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import func, select
from werkzeug.test import TestResponse

from tests.make_shed import Shed
from tests.pages.conftest import keys_of
from tests.yard.folders import SOUND, written
from webapp.application import create_app
from webapp.exports import csv_bytes
from webapp.records import Database, Reading
from webapp.settings import Settings
from webapp.verdict_sheet import BOARD_COLUMNS, STACK_COLUMNS
from webapp.yard.gather_folder import gather_folder
from webapp.yard.keep_file import open_yard


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Flask]:
    """Another yard, empty."""
    url = f"sqlite:///{tmp_path / 'other.sqlite'}"
    with closing(open_yard(url)) as database:
        yield create_app(Settings(url, secret_key="for tests"), database)  # noqa: S106


def upload(client: FlaskClient, files: Mapping[str, str | bytes]) -> TestResponse:
    """Send files as the form of the page does."""
    streams = [
        (io.BytesIO(data if isinstance(data, bytes) else data.encode()), name)
        for name, data in files.items()
    ]
    return client.post("/data", data=keys_of(client, "/data") | {"files": streams})


def zip_of(client: FlaskClient) -> bytes:
    with client.get("/data/yard.zip") as answer:
        assert answer.status_code == 200
        return answer.get_data()


def files_of(zipped: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(zipped)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def count_readings(database: Database) -> int | None:
    with database.reading() as session:
        return session.scalar(select(func.count(Reading.id)).where(Reading.live()))


# ---------------------------------------------------------------- out


def test_the_zip_holds_the_same_bytes_as_the_command_s_folder(
    client: FlaskClient, shed: Shed, sqlite_database: Database
) -> None:
    with client.get("/data/yard.zip") as answer:
        assert answer.headers["Content-Disposition"].startswith("attachment; filename=flitchbook-")
        assert answer.headers["Cache-Control"] == "no-store"
        zipped = answer.data
    with sqlite_database.reading() as session:
        frames = gather_folder(session)
    found = files_of(zipped)
    (folder,) = {name.partition("/")[0] for name in found}
    assert found == {f"{folder}/{name}": csv_bytes(frame) for name, frame in frames.items()}
    assert zip_of(client) == zipped


def test_a_backup_is_a_whole_yard(
    client: FlaskClient, shed: Shed, sqlite_database: Database, tmp_path: Path
) -> None:
    with client.get("/data/backup.sqlite") as answer:
        assert answer.status_code == 200
        assert "flitchbook-backup-" in answer.headers["Content-Disposition"]
        (tmp_path / "copy.sqlite").write_bytes(answer.data)
    with closing(open_yard(f"sqlite:///{tmp_path / 'copy.sqlite'}")) as copy:
        assert written(copy) == written(sqlite_database)


def test_a_backup_of_a_damaged_yard_is_refused(client: FlaskClient, yard_file: Path) -> None:
    with closing(sqlite3.connect(yard_file)) as driver:
        driver.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = driver.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'reading'"
        ).fetchone()
        (size,) = driver.execute("PRAGMA page_size").fetchone()
    with yard_file.open("rb+") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    answer = client.get("/data/backup.sqlite")
    assert answer.status_code == 500
    assert "damaged" in answer.text


@pytest.mark.postgres
def test_with_postgresql_a_backup_is_politely_refused(postgresql_yard: Database) -> None:
    settings = Settings(postgresql_yard.url, secret_key="for tests")  # noqa: S106
    client = create_app(settings, postgresql_yard).test_client()
    page = client.get("/data").text
    assert "that server&#39;s own tools" in page or "that server's own tools" in page
    assert "/data/backup.sqlite" not in page
    answer = client.get("/data/backup.sqlite")
    assert answer.status_code == 409
    assert "own tools" in answer.text


@pytest.mark.parametrize(
    ("name", "columns", "count"), [("boards", BOARD_COLUMNS, 4), ("stacks", STACK_COLUMNS, 1)]
)
def test_verdicts_come_as_a_spreadsheet(
    client: FlaskClient, shed: Shed, name: str, columns: tuple[str, ...], count: int
) -> None:
    with client.get(f"/data/{name}.csv") as answer:
        assert answer.mimetype == "text/csv"
        header, *rows = csv.reader(io.StringIO(answer.get_data(as_text=True)))
    assert tuple(header) == columns
    assert len(rows) == count
    assert {row[0] for row in rows} == {shed.stack.mark}


def test_an_empty_yard_gives_empty_files(client: FlaskClient) -> None:
    assert all(data.count(b"\n") == 1 for data in files_of(zip_of(client)).values())
    with client.get("/data/stacks.csv") as answer:
        assert answer.get_data(as_text=True) == ",".join(STACK_COLUMNS) + "\n"


# ---------------------------------------------------------------- in


def test_out_and_in_and_out_again_gives_the_same_bytes(
    client: FlaskClient, shed: Shed, other: Flask
) -> None:
    zipped = zip_of(client)
    fresh = other.test_client()
    assert upload(fresh, {"yard.zip": zipped}).status_code == 303
    assert zip_of(fresh) == zipped
    # The files themselves do as well as their zip.
    apart = {name.partition("/")[2]: data for name, data in files_of(zipped).items()}
    again = upload(fresh, apart)
    assert again.status_code == 303
    assert "rows were there already: the yard is as it was." in fresh.get("/data").text
    assert zip_of(fresh) == zipped


def test_what_came_is_counted_and_can_be_undone(
    client: FlaskClient, sqlite_database: Database
) -> None:
    assert upload(client, SOUND).location == "/data"
    page = client.get("/data").text
    told = "Taken in: 2 places, 1 meter, 2 stacks, 3 boards, 4 readings."
    assert told in page
    assert count_readings(sqlite_database) == 4
    more = {"readings.csv": SOUND["readings.csv"] + "B1,2024-04-01,14,m1\n"}
    upload(client, more)
    page = client.get("/data").text
    assert "Taken in: 1 reading. 4 rows were there already." in page
    undo = page[page.index('action="/history/') :].partition('"')[2].partition('"')[0]
    keys = keys_of(client, "/data")
    undone = client.post(undo, data={"csrf_token": keys["csrf_token"], "back": "/data"})
    assert undone.status_code == 303
    assert count_readings(sqlite_database) == 4


def test_doubtful_readings_are_taken_in_and_shown(
    client: FlaskClient, sqlite_database: Database
) -> None:
    upload(client, SOUND)
    rows = "".join(
        f"B1,2024-0{month}-01,{value},m1\n" for month, value in enumerate((14, 13, 135, 12), 4)
    )
    answer = upload(client, {"readings.csv": "board,read_on,reading,meter\n" + rows})
    assert answer.status_code == 200
    assert "Look at these again" in answer.text
    assert "readings.csv, line 4, reading" in answer.text
    assert "was 13.5 meant?" in answer.text
    assert "Taken in: 4 readings." in answer.text
    assert count_readings(sqlite_database) == 8


def test_refusals_are_all_listed_and_nothing_is_kept(
    client: FlaskClient, sqlite_database: Database
) -> None:
    before = written(sqlite_database)
    changes = {
        "boards.csv": SOUND["boards.csv"].replace("white oak", "oak", 1),
        "readings.csv": "board,read_on,reading\nA1,2024-02-01,damp\nA9,01/02/2024,12\n",
        "weights.csv": "board,mass_kg\n",
    }
    answer = upload(client, {**SOUND, **changes})
    assert answer.status_code == 422
    for words in (
        "<b>boards.csv, line 2, species</b>",
        "<b>readings.csv, line 2, reading</b>",
        "<b>readings.csv, line 3, read_on</b>",
        "<b>weights.csv</b>",
        "damp",
    ):
        assert words in answer.text
    assert "Taken in" not in answer.text
    assert written(sqlite_database) == before


def test_one_message_for_many_lines_is_told_together(client: FlaskClient) -> None:
    rows = "".join(f"A1,2024-02-01,{'wet' if n % 2 else 'damp'} {n}\n" for n in range(217))
    answer = upload(client, SOUND | {"readings.csv": "board,read_on,reading\n" + rows})
    assert answer.text.count("<b>readings.csv, line") == 3
    assert "and 214 more lines alike: 5, 6, 7" in answer.text


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ({}, "Choose a zip, or the CSV files."),
        ({"yard.zip": b"no zip at all"}, "this is not a zip archive"),
        ({"yard.xlsx": b"PK\x03\x04"}, "damaged"),
        ({"photo.jpg": b"\xff\xd8"}, "expected a zip archive, or CSV files"),
        ({"readings.csv": "board,read_on,reading\nA1,2024-02-01,12 \xb0\n".encode("latin-1")},
         "expected text in UTF-8"),
        ({"readings.csv": b""}, "the file is empty"),
        ({"readings.csv": "<script>alert(1)</script>,reading\n"}, "unknown column"),
    ],
)  # fmt: skip
def test_odd_uploads_are_refused_in_words(
    client: FlaskClient, files: dict[str, str | bytes], words: str
) -> None:
    answer = upload(client, files)
    assert answer.status_code == 422
    assert words in answer.text
    assert "<script>alert" not in answer.text
    assert 'aria-invalid="true"' in answer.text


def test_an_upload_that_is_too_large_is_told(app: Flask) -> None:
    app.config["MAX_CONTENT_LENGTH"] = 1000
    client = app.test_client()
    answer = client.post("/data", data={"files": (io.BytesIO(bytes(2000)), "readings.csv")})
    assert answer.status_code == 413
    assert "This is too large" in answer.text


def test_an_import_does_not_block_readers(
    client: FlaskClient, shed: Shed, sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = sentinel.nothing

    def look_meanwhile(*_about: object) -> None:
        nonlocal seen
        seen = client.application.test_client().get("/").status_code

    monkeypatch.setattr("webapp.yard.take_in_folder.notice_slips", look_meanwhile)
    assert upload(client, SOUND).status_code == 303
    assert seen == 200


def test_a_busy_yard_keeps_nothing_and_says_so(sqlite_database: Database, yard_url: str) -> None:
    settings = Settings(yard_url, secret_key="for tests")  # noqa: S106
    with closing(Database(yard_url, busy_wait_s=0.1)) as waiting, sqlite_database.writing():
        answer = upload(create_app(settings, waiting).test_client(), SOUND)
    assert answer.status_code == 503
    assert "somebody else is writing" in answer.text


def test_other_pages_lead_here(client: FlaskClient) -> None:
    for path in ("/", "/help", "/settings"):
        assert 'href="/data"' in client.get(path).text
