import csv
import io
import os
import stat
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.exports import csv_bytes, write_folder
from webapp.problems import Problem, Refused

CELLS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\0"), max_size=20)


def frame(*rows: tuple[str, str]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=["board", "note"], dtype=object)


FRAMES = {"boards.csv": frame(("A1", "dry")), "moves.csv": frame()}


def test_utf_8_with_one_lf_a_line_and_quotation_marks_where_needed() -> None:
    written = csv_bytes(frame(("A1", 'say "no", twice'), ("Ł2", "two\nlines"), ("", "")))
    assert written == 'board,note\nA1,"say ""no"", twice"\nŁ2,"two\nlines"\n,\n'.encode()


@given(st.lists(st.tuples(CELLS, CELLS)))
def test_every_text_can_be_read_back(rows: list[tuple[str, str]]) -> None:
    text = csv_bytes(frame(*rows)).decode()
    assert list(csv.reader(io.StringIO(text, newline="")))[1:] == [list(row) for row in rows]


@pytest.mark.parametrize("before", ["nothing", "empty folder", "earlier export"])
def test_a_folder_is_written_whole(before: str, tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "out"
    if before != "nothing":
        folder.mkdir(parents=True)
    if before == "earlier export":
        (folder / "moves.csv").write_text("board,note\nold,\n")
        (folder / "boards.csv").write_text("board,note\nold,\n")
    write_folder(FRAMES, folder)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == {
        "boards.csv": b"board,note\nA1,dry\n",
        "moves.csv": b"board,note\n",
    }
    assert [path.name for path in folder.parent.iterdir()] == ["out"]


def test_other_things_are_never_touched(tmp_path: Path) -> None:
    earlier = "board,note\nA1,wet\n"
    (tmp_path / "boards.csv").write_text(earlier)
    (tmp_path / "thesis.txt").write_text("mine")
    with pytest.raises(Refused, match=r"holds other things \(thesis.txt\)"):
        write_folder(FRAMES, tmp_path)
    assert (tmp_path / "boards.csv").read_text() == earlier
    with pytest.raises(Refused, match="is a file"):
        write_folder(FRAMES, tmp_path / "thesis.txt")
    assert (tmp_path / "thesis.txt").read_text() == "mine"


def test_a_person_s_own_sheets_are_no_earlier_export(tmp_path: Path) -> None:
    (tmp_path / "boards.csv").write_text("board,species\nA1,white oak\n")
    with pytest.raises(Refused, match=r"holds other things \(boards.csv\)"):
        write_folder(FRAMES, tmp_path)
    assert (tmp_path / "boards.csv").read_text().endswith("white oak\n")


def test_a_failure_half_way_leaves_the_earlier_export(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "out"
    write_folder(FRAMES, folder)
    renamed = Path.rename

    def rename(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise OSError(28, "No space left on device")
        return renamed(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(Problem, match=r"No space left on device\. Nothing was changed"):
        write_folder({"boards.csv": frame(), "moves.csv": frame()}, folder)
    assert (folder / "boards.csv").read_bytes() == b"board,note\nA1,dry\n"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_read_only_folder_is_told(tmp_path: Path) -> None:
    # Not even the administrator writes below /proc; anybody else is kept out by the mode.
    locked = Path("/proc") if os.geteuid() == 0 else tmp_path
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    with pytest.raises(Problem, match="out cannot be written"):
        write_folder(FRAMES, locked / "out")
    tmp_path.chmod(stat.S_IRWXU)


def test_a_folder_below_a_file_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(Problem, match="cannot be written"):
        write_folder(FRAMES, tmp_path / "file" / "out")
    assert list(tmp_path.iterdir()) == [tmp_path / "file"]
