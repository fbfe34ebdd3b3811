"""Bad input: each fault is told with file, line and column, and the yard stays as it was."""

import os
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from sqlalchemy import func, select

from tests.yard.folders import SOUND, Changes, sound_folder, take_in, write_files, written
from webapp.problems import Problem, RefusedFolder
from webapp.records import Base, Database
from webapp.yard import read_folder as reading_the_disk

READINGS = "board,read_on,reading\n"
BOARDS = "board,stack,species,thickness_mm,stacked_on,place\n"
BOARD = "A1,A,white oak,32,2024-01-10,shed\n"


@dataclass(frozen=True)
class Bad:
    """A fault: the changed files, where it is told, and words of what was expected."""

    name: str
    changes: Changes
    file: str
    line: int | None
    column: str | None
    says: str
    also: int = field(default=0)


BAD = [
    Bad(
        "unknown species",
        {"boards.csv": BOARDS + BOARD.replace("white", "wite")},
        "boards.csv",
        2,
        "species",
        "white oak",
    ),
    Bad(
        "ambiguous species",
        {"boards.csv": BOARDS + BOARD.replace("white oak", "oak")},
        "boards.csv",
        2,
        "species",
        "may mean several",
    ),
    Bad(
        "board in no stack",
        {"boards.csv": BOARDS + BOARD.replace(",A,", ",,")},
        "boards.csv",
        2,
        "stack",
        "expected a value",
    ),
    Bad(
        "reading of an unknown board",
        {"readings.csv": READINGS + "X9,2024-03-01,12\n"},
        "readings.csv",
        2,
        "board",
        "no board “X9”",
    ),
    Bad(
        "duplicate board mark",
        {"boards.csv": SOUND["boards.csv"] + BOARD},
        "boards.csv",
        5,
        "board",
        "already on line 2",
    ),
    Bad(
        "duplicate place",
        {"places.csv": SOUND["places.csv"] + SOUND["places.csv"].splitlines()[1]},
        "places.csv",
        4,
        "place",
        "already on line 2",
    ),
    Bad(
        "reading before stacking",
        {"readings.csv": READINGS + "A1,2024-01-09,12\n"},
        "readings.csv",
        2,
        "read_on",
        "stacked on 2024-01-10",
    ),
    Bad(
        "reading in the future",
        {"readings.csv": READINGS + "A1,2025-01-01,12\n"},
        "readings.csv",
        2,
        "read_on",
        "in the future",
    ),
    Bad(
        "negative reading",
        {"readings.csv": READINGS + "A1,2024-03-01,-4\n"},
        "readings.csv",
        2,
        "reading",
        "above 0",
    ),
    Bad(
        "non-numeric reading",
        {"readings.csv": READINGS + "A1,2024-03-01,12\nA1,2024-03-02,wet\n"},
        "readings.csv",
        3,
        "reading",
        "found “wet”",
    ),
    Bad(
        "reading no wood can have",
        {"readings.csv": READINGS + "A1,2024-03-01,1130\n"},
        "readings.csv",
        2,
        "reading",
        "at most 250",
    ),
    Bad(
        "decimal comma without quotation marks",
        {"readings.csv": READINGS + "A1,2024-03-01,12,5\n"},
        "readings.csv",
        2,
        None,
        "expected 3 cells",
    ),
    Bad(
        "another date order",
        {"readings.csv": READINGS + "A1,13/03/2024,12\n"},
        "readings.csv",
        2,
        "read_on",
        "looks like day, month, year: write 2024-03-13",
    ),
    Bad("empty file", {"moves.csv": ""}, "moves.csv", 1, None, "the file is empty"),
    Bad(
        "missing column",
        {"boards.csv": BOARDS.replace("species,", "") + BOARD.replace("white oak,", "")},
        "boards.csv",
        1,
        "species",
        "is needed and is missing",
    ),
    Bad(
        "unknown column",
        {"readings.csv": "board,read_on,reading,colour\nA1,2024-03-01,12,red\n"},
        "readings.csv",
        1,
        "colour",
        "unknown column: expected only id, board",
    ),
    Bad(
        "column twice",
        {"readings.csv": "board,read_on,reading,reading\nA1,2024-03-01,12,13\n"},
        "readings.csv",
        1,
        "reading",
        "stands twice",
    ),
    Bad(
        "boards of one stack at two places",
        {"boards.csv": BOARDS + BOARD + "A2,A,white oak,32,2024-01-10,loft\n"},
        "boards.csv",
        3,
        "place",
        "first set up at “shed” by line 2",
    ),
    Bad(
        "eleven months",
        {"places.csv": SOUND["places.csv"].replace(",rh_12", "").replace(",75\n", "\n")},
        "places.csv",
        1,
        "rh_12",
        "is needed and is missing",
    ),
    Bad(
        "a month left empty",
        {"places.csv": SOUND["places.csv"].replace("shed,open_shed,10,", "shed,open_shed,,")},
        "places.csv",
        2,
        "temp_01",
        "expected a value",
    ),
    Bad(
        "move before stacking",
        {"moves.csv": "stack,moved_on,place\nA,2024-01-09,loft\n"},
        "moves.csv",
        2,
        "moved_on",
        "on 2024-01-10; expected a later day",
    ),
    Bad(
        "two moves on one day",
        {"moves.csv": "stack,moved_on,place\nA,2024-06-01,loft\nA,2024-06-01,shed\n"},
        "moves.csv",
        3,
        "moved_on",
        "expected a later day",
    ),
    Bad(
        "move to the same place",
        {"moves.csv": "stack,moved_on,place\nA,2024-06-01,shed\n"},
        "moves.csv",
        2,
        "place",
        "expected another place",
    ),
    Bad(
        "move to an unknown place",
        {"moves.csv": "stack,moved_on,place\nA,2024-06-01,barn\n"},
        "moves.csv",
        2,
        "place",
        "no place “barn”",
    ),
    Bad(
        "move of an unknown stack",
        {"moves.csv": "stack,moved_on,place\nZ,2024-06-01,loft\n"},
        "moves.csv",
        2,
        "stack",
        "no stack “Z”",
    ),
    Bad(
        "unknown place of a board",
        {
            "boards.csv": SOUND["boards.csv"].replace(
                "B,black cherry,27,2024-02-01,shed", "B,black cherry,27,2024-02-01,barn"
            )
        },
        "boards.csv",
        4,
        "place",
        "no place “barn”",
    ),
    Bad(
        "board move to its own stack",
        {"board_moves.csv": "board,moved_on,stack\nA1,2024-05-01,A\n"},
        "board_moves.csv",
        2,
        "stack",
        "expected a change",
    ),
    Bad(
        "board move before stacking",
        {"board_moves.csv": "board,moved_on,stack\nA1,2024-01-10,B\n"},
        "board_moves.csv",
        2,
        "moved_on",
        "expected a later day",
    ),
    Bad(
        "board move to a stack not set up yet",
        {"board_moves.csv": "board,moved_on,stack\nA1,2024-01-20,B\n"},
        "board_moves.csv",
        2,
        "stack",
        "stands nowhere on 2024-01-20",
    ),
    Bad(
        "board leaves twice",
        {"board_moves.csv": "board,moved_on,stack\nB1,2024-05-01,\nB1,2024-05-02,\n"},
        "board_moves.csv",
        3,
        "stack",
        "is out of the yard's stacks",
    ),
    Bad(
        "reading of a board that has left",
        {"board_moves.csv": "board,moved_on,stack\nB1,2024-02-15,\n"},
        "readings.csv",
        5,
        "read_on",
        "none of the yard's stacks",
    ),
    Bad(
        "round at another stack",
        {
            "rounds.csv": "round,stack,started_at\nr1,B,2024-03-01T09:00\n",
            "readings.csv": "board,read_on,reading,round\nA1,2024-03-01,12,r1\n",
        },
        "readings.csv",
        2,
        "round",
        "at stack “B”",
    ),
    Bad(
        "unknown round",
        {"readings.csv": "board,read_on,reading,round\nA1,2024-03-01,12,r1\n"},
        "readings.csv",
        2,
        "round",
        "no round “r1”",
    ),
    Bad(
        "round that ends before it begins",
        {"rounds.csv": "round,stack,started_at,ended_at\nr1,A,2024-03-01T09:00,2024-03-01T08:00\n"},
        "rounds.csv",
        2,
        "ended_at",
        "after started_at",
    ),
    Bad(
        "time on another day",
        {"readings.csv": "board,read_on,reading,read_at\nA1,2024-03-01,12,2024-03-05T09:00\n"},
        "readings.csv",
        2,
        "read_at",
        "on the day of read_on",
    ),
    Bad(
        "struck without a day",
        {"readings.csv": "board,read_on,reading,struck_why\nA1,2024-03-01,12,slip\n"},
        "readings.csv",
        2,
        "struck_on",
        "expected the day",
    ),
    Bad(
        "meter limits crossed",
        {
            "meters.csv": (
                "meter,kind,scale,temperature,over_range_pct,under_range_pct\n"
                "m1,pin,as_shown,compensated,20,25\n"
            )
        },
        "meters.csv",
        2,
        "under_range_pct",
        "below over_range_pct",
    ),
    Bad(
        "unknown log",
        {
            "boards.csv": (
                "board,stack,species,thickness_mm,stacked_on,place,log\n"
                "A1,A,white oak,32,2024-01-10,shed,L1\n"
            )
        },
        "boards.csv",
        2,
        "log",
        "no log “L1”",
    ),
    Bad(
        "air at an unknown place",
        {"air.csv": "place,at,temperature_c,rh_pct\nbarn,2024-03-01T09:00,12,70\n"},
        "air.csv",
        2,
        "place",
        "no place “barn”",
    ),
    Bad(
        "air in the future",
        {"air.csv": "place,at,temperature_c,rh_pct\nshed,2025-03-01T09:00,12,70\n"},
        "air.csv",
        2,
        "at",
        "in the future",
    ),
    Bad(
        "unknown witness board",
        {"witness_readings.csv": READINGS + "Z,2024-03-01,12\n"},
        "witness_readings.csv",
        2,
        "board",
        "no witness board “Z”",
    ),
    Bad(
        "an id twice",
        {
            "readings.csv": "id,board,read_on,reading\n"
            + "018f0000-0000-7000-8000-000000000001,A1,2024-03-01,12\n" * 2
        },
        "readings.csv",
        3,
        "id",
        "already on line 2",
    ),
    Bad(
        "no id",
        {"readings.csv": "id,board,read_on,reading\n17,A1,2024-03-01,12\n"},
        "readings.csv",
        2,
        "id",
        "32 hexadecimal digits",
    ),
    Bad(
        "unknown file",
        {"reading.csv": READINGS},
        "reading.csv",
        None,
        None,
        "unknown file: expected only places.csv",
    ),
    Bad(
        "another encoding",
        {"readings.csv": READINGS.encode() + b"A1,2024-03-01,12\nB\xe9,2024-03-01,12\n"},
        "readings.csv",
        3,
        None,
        "UTF-8",
    ),
    Bad(
        "a quotation mark left open",
        {"readings.csv": READINGS + 'A1,2024-03-01,"12\n'},
        "readings.csv",
        2,
        None,
        "ends inside a cell",
    ),
]


def rows_in(database: Database) -> int:
    with database.reading() as session:
        return sum(
            session.scalar(select(func.count()).select_from(table)) or 0
            for table in Base.metadata.sorted_tables
        )


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.name)
def test_a_fault_is_told_where_it_stands(
    bad: Bad, sqlite_database: Database, tmp_path: Path
) -> None:
    lone = {"readings.csv": None} if bad.file == "boards.csv" else {}
    if bad.file == "boards.csv":
        lone["moves.csv"] = None
    folder = sound_folder(tmp_path / "in", lone | dict(bad.changes))
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, folder)
    told = [(refusal.file, refusal.line, refusal.column) for refusal in refused.value.refusals]
    assert told == [(bad.file, bad.line, bad.column)]
    assert bad.says in refused.value.refusals[0].sentence
    assert rows_in(sqlite_database) == 0


def test_every_fault_of_every_file_is_told_at_once(
    sqlite_database: Database, tmp_path: Path
) -> None:
    changes = {
        "places.csv": SOUND["places.csv"].replace("loft,unheated", "loft,attic"),
        "boards.csv": SOUND["boards.csv"].replace("A1,A,white oak,32", "A1,A,white oak,thick"),
        "readings.csv": SOUND["readings.csv"] + "A1,2024-03-02,wet,m1\nB1,2023-01-01,12,m1\n",
    }
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, sound_folder(tmp_path / "in", changes))
    told = [(refusal.file, refusal.line, refusal.column) for refusal in refused.value.refusals]
    # The readings of A1, whose own row was refused, and the moves to the loft are not told again.
    assert told == [
        ("places.csv", 3, "kind"),
        ("boards.csv", 2, "thickness_mm"),
        ("readings.csv", 6, "reading"),
        ("readings.csv", 7, "read_on"),
    ]
    assert "4 things" in refused.value.sentence
    assert rows_in(sqlite_database) == 0


@pytest.mark.parametrize(
    ("file", "text", "column", "says"),
    [
        (
            "boards.csv",
            BOARDS + BOARD.replace("32", "33"),
            "board",
            "another thickness_mm (there “32”)",
        ),
        (
            "boards.csv",
            BOARDS + "A9,A,white oak,32,2024-01-09,shed\n",
            "stacked_on",
            "set up at “shed” on 2024-01-10",
        ),
        (
            "boards.csv",
            BOARDS + "A9,A,white oak,32,2024-02-09,loft\n",
            "place",
            "expected that place",
        ),
        (
            "moves.csv",
            "stack,moved_on,place\nA,2024-05-01,shed\n",
            "moved_on",
            "came to “loft” on 2024-06-01",
        ),
        (
            "places.csv",
            SOUND["places.csv"].replace("shed,open_shed,10", "shed,open_shed,11"),
            "place",
            "another temp_01",
        ),
        (
            "meters.csv",
            "meter,kind,scale,temperature\nm1,pin,as_shown,compensated\n",
            "meter",
            "over_range_pct (there “30”)",
        ),
        (
            "readings.csv",
            "board,read_on,reading,meter,struck_on,struck_why\nA1,2024-02-01,>30,m1,2024-03-01,slip\n",
            "struck_on",
            "not struck out there",
        ),
    ],
)
def test_a_file_that_contradicts_the_yard_is_refused(
    file: str, text: str, column: str, says: str, sqlite_database: Database, tmp_path: Path
) -> None:
    take_in(sqlite_database, sound_folder(tmp_path / "in"))
    before, rows = written(sqlite_database), rows_in(sqlite_database)
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, write_files(tmp_path / "more", {file: text}))
    told = refused.value.refusals[0]
    assert (told.file, told.line, told.column) == (file, 2, column)
    assert says in told.sentence
    assert written(sqlite_database) == before
    assert rows_in(sqlite_database) == rows


@pytest.mark.parametrize("what", ["nowhere", "a file", "nothing", "no csv"])
def test_a_folder_that_is_none(what: str, sqlite_database: Database, tmp_path: Path) -> None:
    folder = tmp_path / "in"
    if what == "a file":
        folder.write_text("")
    elif what != "nowhere":
        folder.mkdir()
    if what == "no csv":
        (folder / "readme.txt").write_text("")
    with pytest.raises(Problem, match=str(folder)):
        take_in(sqlite_database, folder)


def test_a_file_above_the_limit_is_refused_unread(
    sqlite_database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading_the_disk, "LARGEST_BYTES", 2000)
    folder = sound_folder(tmp_path / "in", {"moves.csv": "stack,moved_on,place\n" + "\n" * 2000})
    with pytest.raises(RefusedFolder, match="1 thing") as refused:
        take_in(sqlite_database, folder)
    assert refused.value.refusals[0].file == "moves.csv"
    assert "expected a file of at most" in refused.value.refusals[0].sentence


def test_a_file_that_is_a_folder_cannot_be_read(sqlite_database: Database, tmp_path: Path) -> None:
    folder = sound_folder(tmp_path / "in", {"moves.csv": None})
    (folder / "moves.csv").mkdir()
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, folder)
    assert "moves.csv: this file cannot be read" in str(refused.value.refusals[0])


@pytest.mark.skipif(os.name != "posix", reason="pipes with a name are made the posix way here")
def test_pipes_devices_and_folders_are_refused_at_once(
    sqlite_database: Database, tmp_path: Path
) -> None:
    folder = sound_folder(tmp_path / "in")
    for name in ("readings.csv", "moves.csv", "meters.csv"):
        (folder / name).unlink()
    os.mkfifo(folder / "readings.csv")
    (folder / "moves.csv").symlink_to("/dev/zero")
    (folder / "meters.csv").mkdir()
    (folder / "air.csv").symlink_to(folder / "nowhere.csv")
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, folder)
    said = {refusal.file: refusal.sentence for refusal in refused.value.refusals}
    for name in ("readings.csv", "moves.csv", "meters.csv"):
        assert said[name] == "this file cannot be read: it is no ordinary file"
    assert said["air.csv"] == "this file cannot be read: No such file or directory"
