"""The folder in and out: what is new comes in once, and the bytes that go out are the same."""

import csv
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import func, select

from tests.yard.folders import NOW, SOUND, TODAY, sound_folder, take_in, write_files, written
from webapp.exports import write_folder
from webapp.problems import RefusedFolder
from webapp.records import Batch, Database, Reading, Stack
from webapp.records.batch import changes_of, open_batch
from webapp.records.board import board_marked, stays_of_board
from webapp.records.reading import readings_of
from webapp.records.stack import stack_marked, stays_of_stack
from webapp.yard.gather_folder import gather_folder
from webapp.yard.strike_reading import strike_reading
from webapp.yard.take_in_folder import take_in_folder

PRACTICE = Path(__file__).parents[1] / "data" / "practice"
YARDS = sorted(path.name for path in PRACTICE.iterdir() if path.is_dir())

FULL = SOUND | {
    "logs.csv": (
        "log,species,stood_as,felled_on,insects\n"
        'L1,white oak,Standing Dead,2023-11-02,"borers, few"\n'
    ),
    "boards.csv": (
        "board,stack,species,thickness_mm,stacked_on,place,"
        "width_mm,width_end_mm,log,turn,grain,target_pct\n"
        'A1,A,white oak,32,2024-01-10,shed,250,"180,5",L1,3 of 9,flat,12\n'
        "A2,A,white oak,32,2024-01-12,shed,,,L1,,,\n"
        "B1,B,black cherry,27,2024-02-01,shed,,,,,,\n"
    ),
    "stacks.csv": (
        "stack,name,kept_as,board_count,visit_days,note\n"
        'A,by the door,on stickers,60,21,"two\nlines"\nC,,racked,,,\n'
    ),
    "board_moves.csv": (
        "board,moved_on,stack,why\n"
        "A2,2024-07-01,C,\nA2,2024-08-20,,set aside\nA2,2024-09-01,,sold\n"
    ),
    "moves.csv": "stack,moved_on,place\nA,2024-06-01,loft\nC,2024-06-15,loft\n",
    "air.csv": (
        "place,at,temperature_c,rh_pct\nshed,2024-03-01T09:00+01:00,8.5,81\nshed,2024-03-02,9,80\n"
    ),
    "rounds.csv": "round,stack,started_at,rh_pct,person\nMarch,A,2024-03-01T08:30Z,70,Ada\n",
    "readings.csv": (
        "board,read_on,reading,meter,read_at,round,spot,hit,note,by,struck_on,struck_why\n"
        'A1,2024-03-01,"24,5",m1,2024-03-01T08:40Z,March,face,1,,Ada,,\n'
        "A1,2024-03-01,113,m1,,March,face,2,=1+1,Ada,2024-03-02,slip\n"
        "A1,2024-03-01,> 30,m9,,,,,,,,\n"
    ),
    "witness_boards.csv": (
        "board,place,species,thickness_mm,known_dry_since\nZ1,shed,white oak,32,2015-01-01\n"
    ),
    "witness_readings.csv": "board,read_on,reading,meter\nZ1,2024-03-01,14,m1\n",
}


def export(database: Database, folder: Path) -> dict[str, bytes]:
    with database.reading() as session:
        frames = gather_folder(session)
    write_folder(frames, folder)
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def another_yard(fresh_file: Path, folder: Path) -> Database:
    return Database(f"sqlite:///{shutil.copy(fresh_file, folder / f'{uuid4()}.sqlite')}")


@pytest.fixture
def second(fresh_file: Path, tmp_path: Path) -> Iterator[Database]:
    database = another_yard(fresh_file, tmp_path)
    yield database
    database.close()


def without_ids(source: Path, target: Path) -> Path:
    target.mkdir()
    for path in source.iterdir():
        with path.open(newline="", encoding="utf-8") as file:
            rows = [row[1:] for row in csv.reader(file)]
        with (target / path.name).open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(rows)
    return target


@pytest.mark.parametrize("name", YARDS)
def test_a_practice_yard_in_and_out(
    name: str, database: Database, second: Database, tmp_path: Path
) -> None:
    first = take_in(database, PRACTICE / name)
    assert first.new == sum(
        len((PRACTICE / name / count.file).read_text().splitlines()) - 1 for count in first.files
    )
    bytes_ = export(database, tmp_path / "out")
    for again in (
        PRACTICE / name,
        tmp_path / "out",
        without_ids(tmp_path / "out", tmp_path / "bare"),
    ):
        assert take_in(database, again).new == 0
    assert export(database, tmp_path / "out") == bytes_
    take_in(second, tmp_path / "out")
    assert export(second, tmp_path / "out2") == bytes_


def test_a_folder_with_every_file_in_and_out(
    database: Database, second: Database, tmp_path: Path
) -> None:
    taken = take_in(database, write_files(tmp_path / "in", FULL))
    assert {count.file: count.new for count in taken.files} == {
        "places.csv": 2,
        "air.csv": 2,
        "meters.csv": 1,
        "logs.csv": 1,
        "stacks.csv": 2,
        "boards.csv": 3,
        "moves.csv": 2,
        "board_moves.csv": 3,
        "rounds.csv": 1,
        "readings.csv": 3,
        "witness_boards.csv": 1,
        "witness_readings.csv": 1,
    }
    bytes_ = export(database, tmp_path / "out")
    assert b"24,5" in bytes_["readings.csv"]
    assert b"'=1+1" in bytes_["readings.csv"]
    assert b"L1,white oak,,standing dead,2023-11-02" in bytes_["logs.csv"]
    assert b",shed,2024-03-02T12:00:00Z,9,80\n" in bytes_["air.csv"]
    bare = without_ids(tmp_path / "out", tmp_path / "bare")
    for again in (tmp_path / "in", tmp_path / "out", bare):
        assert take_in(database, again).new == 0
    take_in(second, tmp_path / "out")
    assert export(second, tmp_path / "out2") == bytes_
    second.close()


def test_stays_follow_boards_and_moves(sqlite_database: Database, tmp_path: Path) -> None:
    take_in(sqlite_database, write_files(tmp_path / "in", FULL))
    with sqlite_database.reading() as session:
        stack, board = stack_marked(session, "A"), board_marked(session, "A2")
        assert stack is not None
        assert board is not None
        stands = [
            (stay.place.name, stay.from_on, stay.until_on)
            for stay in stays_of_stack(session, stack)
        ]
        lies = [
            (stay.stack.mark if stay.stack else None, stay.until_on, stay.why)
            for stay in stays_of_board(session, board)
        ]
    assert stands == [
        ("shed", date(2024, 1, 10), date(2024, 6, 1)),
        ("loft", date(2024, 6, 1), None),
    ]
    assert lies == [
        ("A", date(2024, 7, 1), None),
        ("C", date(2024, 8, 20), None),
        (None, date(2024, 9, 1), "set aside"),
        (None, None, "sold"),
    ]


def test_a_later_folder_adds_what_is_new(sqlite_database: Database, tmp_path: Path) -> None:
    take_in(sqlite_database, sound_folder(tmp_path / "in"))
    later = {
        "moves.csv": "stack,moved_on,place\nA,2024-06-01,loft\nA,2024-08-01,shed\n",
        "readings.csv": SOUND["readings.csv"] + "A1,2024-03-01,24.5,m1\nA2,2024-07-01,15,m1\n",
        "board_moves.csv": "board,moved_on,stack\nA2,2024-08-05,B\n",
    }
    taken = take_in(sqlite_database, write_files(tmp_path / "later", later))
    assert {count.file: (count.new, count.already_there) for count in taken.files} == {
        "moves.csv": (1, 1),
        "board_moves.csv": (1, 0),
        "readings.csv": (2, 4),
    }
    with sqlite_database.reading() as session:
        stack = stack_marked(session, "A")
        assert stack is not None
        closed = stays_of_stack(session, stack)[1]
        assert closed.until_on == date(2024, 8, 1)
        # The close of the earlier stay is kept as a change of the second import.
        assert [change.after for change in changes_of(session, closed)] == [
            {"until_on": "2024-08-01"}
        ]
        batches = session.scalars(select(Batch).order_by(Batch.id)).all()
        assert [batch.kind for batch in batches] == ["import", "import"]
        assert len({batch.file_hash for batch in batches}) == 2


def test_what_the_yard_struck_stays_struck(
    sqlite_database: Database, second: Database, tmp_path: Path
) -> None:
    folder = sound_folder(tmp_path / "in")
    take_in(sqlite_database, folder)
    with sqlite_database.writing() as session:
        board = board_marked(session, "A1")
        assert board is not None
        batch = open_batch(session, "form", "Ada", NOW)
        strike_reading(session, batch, readings_of(session, board)[1], "slip")
    assert take_in(sqlite_database, folder).new == 0
    bytes_ = export(sqlite_database, tmp_path / "out")
    assert b"2024-12-31,slip\n" in bytes_["readings.csv"]
    take_in(second, tmp_path / "out")
    assert export(second, tmp_path / "out2") == bytes_
    with second.reading() as session:
        assert session.scalar(select(func.count()).where(Reading.struck_at.is_not(None))) == 1


def test_the_same_id_with_other_content_is_a_conflict(
    sqlite_database: Database, tmp_path: Path
) -> None:
    take_in(sqlite_database, sound_folder(tmp_path / "in"))
    export(sqlite_database, tmp_path / "out")
    readings = tmp_path / "out" / "readings.csv"
    readings.write_text(
        readings.read_text().replace(">30", ">31").replace("B1,2024-03-01", "A2,2024-03-01")
    )
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, tmp_path / "out")
    told = [(refusal.line, refusal.column) for refusal in refused.value.refusals]
    assert told == [(2, "id"), (5, "id")]
    assert "another reading (there “>30”)" in refused.value.refusals[0].sentence


def test_a_mark_under_another_id_is_a_conflict(sqlite_database: Database, tmp_path: Path) -> None:
    take_in(sqlite_database, sound_folder(tmp_path / "in"))
    uid = "018f0000-0000-7000-8000-000000000001"
    boards = f"id,{SOUND['boards.csv'].splitlines()[0]}\n{uid},A1,A,white oak,32,2024-01-10,shed\n"
    with pytest.raises(RefusedFolder) as refused:
        take_in(sqlite_database, write_files(tmp_path / "more", {"boards.csv": boards}))
    assert "under another id" in refused.value.refusals[0].sentence


def test_a_meter_nobody_described_and_a_slip_are_noted(
    sqlite_database: Database, tmp_path: Path
) -> None:
    changes = {
        "meters.csv": (
            "meter,kind,scale,temperature,over_range_pct\nm2,pin,as_shown,compensated,40\n"
        ),
        "readings.csv": SOUND["readings.csv"] + "A2,2024-03-01,11.5,m1\nA2,2024-04-01,113,m1\n"
        "A2,2024-05-01,11.2,m1\nB1,2024-04-01,45,m2\n",
    }
    taken = take_in(sqlite_database, sound_folder(tmp_path / "in", changes))
    assert [(note.file, note.line, note.column) for note in taken.notes] == [
        ("readings.csv", 2, "meter"),
        ("readings.csv", 7, "reading"),
        ("readings.csv", 9, "reading"),
    ]
    assert "taken as a pin meter, as_shown, compensated" in taken.notes[0].sentence
    assert "was 11.3 meant?" in taken.notes[1].sentence
    assert "more than this meter can show (40)" in taken.notes[2].sentence
    assert "note: readings.csv, line 2" in str(taken)
    # The meter is in the yard now: a later folder that still names it brings no note.
    more = "board,read_on,reading,meter\nA2,2024-06-01,111,m1\nA2,2024-07-01,11.1,m1\n"
    later = take_in(sqlite_database, write_files(tmp_path / "more", {"readings.csv": more}))
    assert [note.line for note in later.notes] == [2]


def test_a_stack_set_up_before_its_boards_goes_out_as_a_move(
    sqlite_database: Database, tmp_path: Path
) -> None:
    moves = "stack,moved_on,place\nA,2024-01-05,shed\nA,2024-06-01,loft\n"
    take_in(sqlite_database, sound_folder(tmp_path / "in", {"moves.csv": moves}))
    out = written(sqlite_database)["moves.csv"]
    assert [row[1:] for row in out] == [("A", "2024-01-05", "shed"), ("A", "2024-06-01", "loft")]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_folder_from_a_spreadsheet_with_semicolons(
    encoding: str, sqlite_database: Database, tmp_path: Path
) -> None:
    text = "Board;Read_on;Reading;Meter;;\r\nA1;2024-02-01;24,5;m1;;\r\n;;;;;\r\n"
    folder = sound_folder(tmp_path / "in", {"readings.csv": text.encode(encoding)})
    take_in(sqlite_database, folder)
    assert [row[1:4] for row in written(sqlite_database)["readings.csv"]] == [
        ("A1", "2024-02-01", "24,5")
    ]


def test_nothing_new_opens_no_batch_and_progress_is_told(
    sqlite_database: Database, tmp_path: Path
) -> None:
    told: list[tuple[int, int]] = []
    folder = sound_folder(tmp_path / "in")
    with sqlite_database.writing() as session:
        take_in_folder(session, folder, NOW, TODAY, lambda done, total: told.append((done, total)))
    assert told == sorted(told)
    assert told[-1][0] <= told[-1][1]
    assert told[-1][0] >= 0.5 * told[-1][1]
    take_in(sqlite_database, folder)
    with sqlite_database.reading() as session:
        assert session.scalar(select(func.count(Batch.id))) == 1
        assert session.scalar(select(func.count(func.distinct(Stack.code)))) == 2


TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=40) | st.sampled_from(
    [
        "=1+1",
        "'=1",
        "''@x",
        "+5",
        "-",
        "@",
        "a\nb",
        'say "no", twice',
        "עץ אלון",
        "🪵 fine",
        "'tis",
        " , ",
        "a;b",
        "\u2028x",
    ]
)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(TEXTS, min_size=1, max_size=5))
def test_free_text_in_and_out(
    fresh_file: Path, tmp_path_factory: pytest.TempPathFactory, texts: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("texts")
    first, second = another_yard(fresh_file, folder), another_yard(fresh_file, folder)
    rows = ["board,read_on,reading,note"]
    lines = [*rows, *(f'A1,2024-03-01,12,"{text.replace(chr(34), chr(34) * 2)}"' for text in texts)]
    take_in(first, sound_folder(folder / "in", {"readings.csv": "\n".join(lines) + "\n"}))
    bytes_ = export(first, folder / "out")
    take_in(second, folder / "out")
    assert export(second, folder / "out2") == bytes_
    assert take_in(first, folder / "out").new == 0
    assert take_in(first, folder / "in").new == 0
    first.close()
    second.close()
