"""The command `flitchbook`, as a person types it."""

import csv
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterable
from contextlib import closing
from datetime import date, timedelta
from io import StringIO
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from webapp.cli import main

COLUMNS = (
    "stack,board,as_of,state,moisture_pct,moisture_low,moisture_high,target_pct,fit,"
    "ready_on,ready_from,ready_to,reason"
)
STATES = {
    "wet",
    "drying",
    "slow season",
    "stalled",
    "levelled off",
    "getting wetter",
    "read again",
}
MONTHS = [f"{month:02}" for month in range(1, 13)]
TEMPERATURES = [1, 2, 6, 10, 14, 17, 19, 19, 15, 11, 6, 2]
HUMIDITIES = [86, 82, 77, 71, 70, 71, 71, 73, 78, 83, 87, 88]
PLACES: list[list[object]] = [
    ["place", "kind", *(f"temp_{m}" for m in MONTHS), *(f"rh_{m}" for m in MONTHS)],
    ["shed", "open_shed", *TEMPERATURES, *HUMIDITIES],
]
BOARDS: list[list[object]] = [
    ["board", "stack", "species", "thickness_mm", "stacked_on", "place"],
    ["C1", "cherry", "black cherry", 27, "2024-04-02", "shed"],
    ["C2", "cherry", "black cherry", 27, "2024-04-02", "shed"],
    ["O1", "oak", "white oak", 52, "2025-01-15", "shed"],
]
Rows = Iterable[Iterable[object]]


def readings(board: str, start: date, shown: Iterable[object]) -> list[list[object]]:
    return [[board, start + timedelta(30 * turn), text] for turn, text in enumerate(shown)]


READINGS: list[list[object]] = [
    ["board", "read_on", "reading"],
    *readings("C1", date(2024, 5, 1), [">30", 27, 22, 18.5, 17, 16, 15.5, 15.5, 15, 14.5, 14, 14]),
    *readings("C2", date(2024, 5, 1), [">30", 28, 23, 19, 17, 16.5, 16, 16, 15.5, 14.5, 14.5, 14]),
]


def write_folder(folder: Path, **files: Rows) -> Path:
    folder.mkdir(exist_ok=True)
    for name, rows in files.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "in", places=PLACES, boards=BOARDS, readings=READINGS)


@pytest.fixture
def url(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """Name a yard of this test's own, in the surroundings too, so that no other is ever met."""
    address = f"sqlite:///{tmp_path / 'yard.sqlite'}"
    monkeypatch.setenv("FLITCHBOOK_DATABASE", address)
    return address


@pytest.fixture
def yard(url: str, folder: Path) -> str:
    assert said("import", folder).exit_code == 0
    return url


def said(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def rows_of(result: Result) -> list[dict[str, str]]:
    assert result.exit_code == 0, result.output
    return list(csv.DictReader(StringIO(result.stdout)))


def test_help_lists_every_command_at_once() -> None:
    shown = said("--help").stdout
    assert all(f"  {name} " in shown for name in main.commands)
    words = [sys.executable, "-X", "importtime", "-m", "webapp", "--help"]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    for heavy in ("sqlalchemy", "numpy", "pandas", "scipy", "plotly", "flask"):
        assert f" {heavy}\n" not in done.stderr, f"--help imports {heavy}"


@pytest.mark.parametrize("name", sorted(main.commands))
def test_each_command_takes_a_database(name: str) -> None:
    options = {option for param in main.commands[name].params for option in param.opts}
    assert "--database" in options
    assert said(name, "--help").exit_code == 0


def test_verdict_columns_are_to_the_letter(yard: str) -> None:
    shown = said("verdict", "--format", "csv").stdout
    assert shown.split("\n")[0] == COLUMNS
    assert "\r" not in shown


def test_verdict_has_a_row_per_board_stacked_by_then(yard: str) -> None:
    words = ("verdict", "--as-of", "2024-06-01", "--as-of", "2025-03-01", "--format", "csv")
    rows = rows_of(said(*words))
    assert [(row["as_of"], row["board"]) for row in rows] == [
        ("2024-06-01", "C1"),
        ("2024-06-01", "C2"),
        ("2025-03-01", "C1"),
        ("2025-03-01", "C2"),
        ("2025-03-01", "O1"),
    ]
    assert {row["state"] for row in rows} <= STATES
    assert {row["fit"] for row in rows} <= {"yes", "no", "unknown"}
    assert all(row["reason"].endswith(".") for row in rows)
    read = [row for row in rows if row["board"] != "O1"]
    for row in read:
        low, middle, high = (float(row[f"moisture_{name}"]) for name in ("low", "pct", "high"))
        assert low <= middle <= high


def test_verdict_uses_nothing_dated_later(url: str, tmp_path: Path, yard: str) -> None:
    words = ("verdict", "--as-of", "2024-08-15", "--format", "csv")
    known = said(*words).stdout
    early = [READINGS[0], *(row for row in READINGS[1:] if str(row[1]) <= "2024-08-15")]
    less = write_folder(tmp_path / "less", places=PLACES, boards=BOARDS, readings=early)
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert said("import", less, "--database", other).exit_code == 0
    assert said(*words, "--database", other).stdout == known


def test_verdict_of_stacks(yard: str) -> None:
    rows = rows_of(said("verdict", "--stacks", "--as-of", "2025-06-01", "--format", "csv"))
    assert {row["stack"]: (row["boards"], row["boards_read"]) for row in rows} == {
        "cherry": ("2", "2"),
        "oak": ("1", "0"),
    }
    assert {row["state"] for row in rows} <= STATES


def test_json_and_csv_say_the_same(yard: str) -> None:
    words = ("verdict", "--as-of", "2025-03-01", "--format")
    listed = json.loads(said(*words, "json").stdout)
    rows = rows_of(said(*words, "csv"))
    assert [list(entry) for entry in listed] == [COLUMNS.split(",")] * len(rows)
    for entry, row in zip(listed, rows, strict=True):
        assert entry["board"] == row["board"]
        assert f"{entry['moisture_pct']:.10g}" == row["moisture_pct"]
        assert (entry["ready_to"] or "") == row["ready_to"]


def test_table_is_for_reading(yard: str) -> None:
    shown = said("verdict", "--as-of", "2025-03-01").stdout
    assert "C1" in shown
    assert "-----" in shown
    assert said("verdict", "--stacks", "--as-of", "2025-03-01").exit_code == 0


def test_export_imports_again_to_the_same_bytes(yard: str, tmp_path: Path) -> None:
    once, twice = tmp_path / "once", tmp_path / "twice"
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert said("export", once).exit_code == 0
    assert said("import", once, "--database", other).exit_code == 0
    assert said("export", twice, "--database", other).exit_code == 0
    names = sorted(file.name for file in once.iterdir())
    assert {"places.csv", "boards.csv", "readings.csv"} <= set(names)
    assert names == sorted(file.name for file in twice.iterdir())
    for name in names:
        assert (once / name).read_bytes() == (twice / name).read_bytes(), name


def test_importing_twice_changes_nothing(yard: str, folder: Path, tmp_path: Path) -> None:
    assert said("export", tmp_path / "once").exit_code == 0
    again = said("import", folder)
    assert again.exit_code == 0
    assert again.stdout.endswith("The yard is as it was.\n")
    assert said("export", tmp_path / "twice").exit_code == 0
    for file in (tmp_path / "once").iterdir():
        assert file.read_bytes() == (tmp_path / "twice" / file.name).read_bytes()


def test_refused_rows_are_listed_to_200_and_the_rest_counted(
    yard: str, folder: Path, tmp_path: Path
) -> None:
    assert said("export", tmp_path / "before").exit_code == 0
    bad: Rows = [
        ["board", "read_on", "reading"],
        *(["C1", "2025-06-01", "damp"] for _ in range(250)),
    ]
    write_folder(folder, readings=bad)
    result = said("import", folder)
    assert result.exit_code == 2
    assert result.stdout == ""
    listed = [line for line in result.stderr.splitlines() if line.startswith("readings.csv:")]
    assert len(listed) == 200
    assert listed[0].startswith("readings.csv:2: reading: ")
    assert "damp" in listed[0]
    assert "and 50 more" in result.stderr
    assert said("export", tmp_path / "after").exit_code == 0
    for file in (tmp_path / "before").iterdir():
        assert file.read_bytes() == (tmp_path / "after" / file.name).read_bytes()


def test_refit_and_upgrade_end_well(yard: str) -> None:
    before = said("verdict", "--as-of", "2025-03-01", "--format", "csv").stdout
    assert said("refit").exit_code == 0
    assert said("upgrade").exit_code == 0
    assert said("verdict", "--as-of", "2025-03-01", "--format", "csv").stdout == before


@pytest.mark.parametrize("words", [["verdict"], ["export", "out"], ["refit"], ["upgrade"]])
def test_no_yard_is_made_by_asking(url: str, tmp_path: Path, words: list[str]) -> None:
    result = said(*words)
    assert result.exit_code == 2
    assert "There is no yard at" in result.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("day", ["2200-01-01", "9999-12-31", "1899-12-31", "0001-01-01"])
def test_a_day_out_of_all_reckoning_is_refused(yard: str, day: str) -> None:
    result = said("verdict", "--as-of", day)
    assert result.exit_code == 2
    assert "expected a date from 1900 to 2199" in result.stderr
    assert said("verdict", "--as-of", "1900-01-01", "--as-of", "2199-12-31").exit_code == 0


@pytest.mark.parametrize("day", ["31/05/2026", "2026-02-30", "yesterday"])
def test_a_day_in_another_order_is_refused(url: str, day: str) -> None:
    result = said("verdict", "--as-of", day)
    assert result.exit_code == 2
    assert "year-month-day" in result.stderr


def test_a_bad_setting_is_named(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FLITCHBOOK_PORT", "eighty")
    result = said("verdict")
    assert result.exit_code == 2
    assert "FLITCHBOOK_PORT" in result.stderr


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("mysql://host/yard", "SQLite file or a PostgreSQL"),
        ("sqlite:////proc/nowhere/yard.sqlite", "/proc/nowhere"),
        ("sqlite:///:memory:", "file name"),
        ("sqlite://", "file name"),
        ("sqlite:/yard.sqlite", "not a database address"),
        ("foo://x", "SQLite file or a PostgreSQL"),
        ("postgresql://host:notaport/yard", "not a database address"),
        ("sqlite:////dev/zero", "no ordinary file"),
    ],
)
def test_a_yard_that_cannot_be_is_refused(folder: Path, address: str, words: str) -> None:
    result = said("import", folder, "--database", address)
    assert result.exit_code == 2
    assert words in result.stderr
    assert isinstance(result.exception, SystemExit | click.ClickException)


def test_a_damaged_yard_is_refused_and_kept(url: str, tmp_path: Path) -> None:
    file = tmp_path / "yard.sqlite"
    file.write_bytes(b"no yard at all " * 1000)
    result = said("verdict")
    assert result.exit_code == 2
    assert "not a yard" in result.stderr
    assert file.read_bytes() == b"no yard at all " * 1000


def test_a_yard_without_one_of_its_tables_is_told(yard: str, tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "yard.sqlite")) as driver:
        driver.execute("DROP TABLE board_stay")
    result = said("verdict")
    assert result.exit_code == 2
    assert "missing (board_stay)" in result.stderr


def test_a_folder_that_is_not_there_is_refused(url: str, tmp_path: Path) -> None:
    result = said("import", tmp_path / "nowhere")
    assert result.exit_code == 2
    assert "nowhere" in result.stderr


def test_a_yard_that_is_being_written_is_left_after_a_bounded_wait(
    yard: str, folder: Path, tmp_path: Path
) -> None:
    write_folder(folder, readings=[*READINGS, ["O1", "2025-06-01", 41]])
    with closing(sqlite3.connect(tmp_path / "yard.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        result = said("import", folder)
        assert result.exit_code == 2
        assert "busy" in result.stderr
        other.execute("ROLLBACK")
    assert said("import", folder).exit_code == 0


@pytest.mark.skipif(os.name != "posix", reason="a terminal is made the posix way here")
def test_progress_is_drawn_on_a_terminal_and_nowhere_else(url: str, folder: Path) -> None:
    mine, theirs = os.openpty()
    words = [sys.executable, "-m", "webapp", "import", str(folder)]
    try:
        done = subprocess.run(words, stdout=subprocess.PIPE, stderr=theirs, text=True, check=True)
        drawn = os.read(mine, 100_000).decode()
    finally:
        os.close(mine)
        os.close(theirs)
    assert "Importing" in drawn
    assert "100%" in drawn
    assert "Importing" not in done.stdout
    assert "Importing" not in said("import", folder).stderr


def test_a_key_that_cannot_be_kept_is_a_message(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FLITCHBOOK_SECRET_FILE", "/proc/nowhere/key")
    result = said("serve", "--port", "0")
    assert result.exit_code == 2
    assert "/proc/nowhere" in result.stderr
