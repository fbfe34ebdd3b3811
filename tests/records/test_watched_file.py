import shutil
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import func, select

from tests.make import A_MOMENT, make_place
from webapp.problems import YardFileProblem
from webapp.records import Database, Place
from webapp.records.batch import open_batch


def count_places(database: Database) -> int | None:
    with database.reading() as session:
        return session.scalar(select(func.count(Place.id)))


def keep_a_place(database: Database) -> None:
    with database.writing() as session:
        open_batch(session, "form", "keeper", A_MOMENT)
        make_place(session)


@pytest.mark.parametrize("use", [count_places, keep_a_place])
def test_a_deleted_file_is_not_made_anew_nor_written_unseen(yard_file: Path, use: type) -> None:
    with closing(Database(f"sqlite:///{yard_file}")) as database:
        assert count_places(database) == 0
        yard_file.unlink()
        with pytest.raises(YardFileProblem, match=r"yard\.sqlite is gone"):
            use(database)
        database.close()  # a connection opened from now on finds no file either
        with pytest.raises(YardFileProblem, match=r"yard\.sqlite is gone"):
            use(database)
        assert not yard_file.exists()


def test_a_file_put_back_serves_again(yard_file: Path) -> None:
    aside = yard_file.with_name("aside.sqlite")
    with closing(Database(f"sqlite:///{yard_file}")) as database:
        keep_a_place(database)
        yard_file.rename(aside)
        with pytest.raises(YardFileProblem, match="is gone"):
            count_places(database)
        aside.rename(yard_file)
        assert count_places(database) == 1


def test_another_file_in_its_place_is_not_mistaken_for_it(yard_file: Path) -> None:
    other = Path(shutil.copy(yard_file, yard_file.with_name("other.sqlite")))
    with closing(Database(f"sqlite:///{yard_file}")) as database:
        keep_a_place(database)
        other.replace(yard_file)
        with pytest.raises(YardFileProblem, match="was replaced"):
            count_places(database)


def test_databases_without_a_file_are_not_watched() -> None:
    with closing(Database("sqlite://")) as database, database.looking() as connection:
        assert connection.exec_driver_sql("SELECT 1").scalar_one() == 1
