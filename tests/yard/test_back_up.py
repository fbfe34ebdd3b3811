import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.make import A_MOMENT, make_place
from webapp.problems import Conflict, YardFileProblem
from webapp.records import Database
from webapp.records.batch import open_batch
from webapp.yard.back_up import copy_yard


def test_a_yard_is_copied_while_it_is_written(sqlite_database: Database, yard_file: Path) -> None:
    copy = yard_file.with_name("copy.sqlite")
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        make_place(session, name="Loft")
    with sqlite_database.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        make_place(session, name="Barn")
        copy_yard(yard_file, copy)
    with closing(sqlite3.connect(copy)) as driver:
        assert driver.execute("SELECT name FROM place").fetchall() == [("Loft",)]
    assert {each.name for each in copy.parent.glob("copy*")} == {"copy.sqlite"}


def test_nothing_is_overwritten(yard_file: Path) -> None:
    taken = yard_file.with_name("taken.sqlite")
    taken.write_text("mine")
    with pytest.raises(Conflict, match="not overwritten"):
        copy_yard(yard_file, taken)
    assert taken.read_text() == "mine"


def test_the_rest_of_a_broken_off_copy_is_no_hindrance(yard_file: Path) -> None:
    yard_file.with_name("copy.sqlite.part").write_text("half")
    copy_yard(yard_file, yard_file.with_name("copy.sqlite"))
    assert not yard_file.with_name("copy.sqlite.part").exists()


def test_a_damaged_yard_leaves_no_copy(yard_file: Path) -> None:
    with closing(sqlite3.connect(yard_file)) as driver:
        (page,) = driver.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'reading'"
        ).fetchone()
        (size,) = driver.execute("PRAGMA page_size").fetchone()
    with yard_file.open("rb+") as opened:
        opened.seek((page - 1) * size)
        opened.write(b"\xff" * size)
    copy = yard_file.with_name("copy.sqlite")
    with pytest.raises(YardFileProblem, match="damaged"):
        copy_yard(yard_file, copy)
    assert list(copy.parent.glob("copy*")) == []


def test_a_yard_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    with pytest.raises(YardFileProblem, match="cannot be opened"):
        copy_yard(tmp_path / "none.sqlite", tmp_path / "copy.sqlite")
    assert list(tmp_path.iterdir()) == []
