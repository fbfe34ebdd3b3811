import io
import struct
import zipfile
from pathlib import Path

import pytest

from webapp.problems import Problem, RefusedFolder
from webapp.yard import unpack_upload as unpacking
from webapp.yard.unpack_upload import Sent, unpack_upload

ROWS = b"board,read_on,reading\nA1,2024-02-01,>30\n"


def zipped(files: dict[str, bytes], compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", compression) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return written.getvalue()


def sent(files: dict[str, bytes]) -> list[Sent]:
    return [Sent(name, io.BytesIO(data)) for name, data in files.items()]


def unpacked(folder: Path, files: dict[str, bytes]) -> dict[str, bytes]:
    assert unpack_upload(sent(files), folder) == []
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def refusals(folder: Path, files: dict[str, bytes]) -> str:
    try:
        found = unpack_upload(sent(files), folder)
    except RefusedFolder as refused:
        found = list(refused.refusals)
    assert found
    return "\n".join(map(str, found))


def test_csv_files_as_they_are(tmp_path: Path) -> None:
    files = {"readings.csv": ROWS, "moves.csv": b"stack,moved_on,place\n"}
    assert unpacked(tmp_path, files) == files


@pytest.mark.parametrize("folder", ["", "yard/", "home/me/yard/", "yard 2026\\"])
def test_a_zip_of_one_folder(tmp_path: Path, folder: str) -> None:
    files = {"readings.csv": ROWS, "moves.csv": b"stack,moved_on,place\n"}
    archive = zipped({folder + name: data for name, data in files.items()})
    assert unpacked(tmp_path, {"yard.zip": archive}) == files


def test_what_programs_put_beside_it_does_not_count(tmp_path: Path) -> None:
    archive = zipped(
        {
            "yard/": b"",
            "yard/readings.csv": ROWS,
            "yard/notes.txt": b"turn the sweetgum",
            "yard/.DS_Store": b"\0",
            "__MACOSX/yard/._readings.csv": b"\0",
        }
    )
    assert unpacked(tmp_path, {"yard.zip": archive}) == {"readings.csv": ROWS}


def test_a_zip_is_known_by_its_content(tmp_path: Path) -> None:
    assert unpacked(tmp_path, {"yard": zipped({"readings.csv": ROWS})}) == {"readings.csv": ROWS}


def test_a_name_with_a_path_is_its_last_part(tmp_path: Path) -> None:
    assert unpacked(tmp_path, {"C:\\yard\\readings.csv": ROWS}) == {"readings.csv": ROWS}


@pytest.mark.parametrize(
    "name", ["../readings.csv", "/etc/readings.csv", "a/../../readings.csv", "C:/readings.csv"]
)
def test_a_path_out_of_the_archive_is_refused(tmp_path: Path, name: str) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    assert "points out of the archive" in refusals(inside, {"yard.zip": zipped({name: ROWS})})
    assert [path.name for path in tmp_path.rglob("*")] == ["inside"]


def test_several_folders_are_refused(tmp_path: Path) -> None:
    archive = zipped({"a/readings.csv": ROWS, "b/moves.csv": b"stack,moved_on,place\n"})
    assert "several folders (“a”, “b”)" in refusals(tmp_path, {"yard.zip": archive})


def test_a_file_sent_twice_is_refused(tmp_path: Path) -> None:
    both = {"yard.zip": zipped({"readings.csv": ROWS}), "readings.csv": ROWS}
    assert "readings.csv: this file was sent twice" in refusals(tmp_path, both)


def test_unknown_files_are_named_beside_the_good_ones(tmp_path: Path) -> None:
    said = refusals(tmp_path, {"readings.csv": ROWS, "weights.csv": b"x\n", "photo.jpg": b"x"})
    assert "weights.csv: unknown file: expected only places.csv" in said
    assert "photo.jpg: expected a zip archive, or CSV files" in said


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("yard.zip", b"no zip at all", "yard.zip: this is not a zip archive"),
        ("yard.zip", b"", "not a zip archive"),
        ("yard.zip", zipped({}), "there is no CSV file in it"),
        ("yard.zip", zipped({"notes.txt": b"x"}), "there is no CSV file in it"),
        ("yard.zip", zipped({"readings.csv": ROWS})[:-30], "damaged, or was not sent whole"),
        ("yard.xlsx", zipped({"[Content_Types].xml": b"x"}), "a spreadsheet's own file"),
        ("readings.csv", zipped({"mimetype": b"x"}), "a spreadsheet's own file"),
        ("yard.7z", b"7z\xbc\xaf\x27\x1c", "expected a zip archive, or CSV files"),
        ("yard.zip", zipped({"readings.csv": ROWS}, zipfile.ZIP_LZMA), "packed in an unusual way"),
    ],
)
def test_what_is_no_zip_of_csv_files(tmp_path: Path, name: str, data: bytes, words: str) -> None:
    assert words in refusals(tmp_path, {name: data})
    assert list(tmp_path.iterdir()) == []


def test_a_spoilt_file_in_an_archive(tmp_path: Path) -> None:
    data = bytearray(zipped({"readings.csv": ROWS * 50}, zipfile.ZIP_STORED))
    place = data.index(b"2024-02-01")
    data[place : place + 4] = b"1999"
    assert "damaged" in refusals(tmp_path, {"yard.zip": bytes(data)})


def test_an_archive_with_a_password(tmp_path: Path) -> None:
    data = bytearray(zipped({"readings.csv": ROWS}))
    for sign, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = data.index(sign) + offset
        data[place : place + 2] = struct.pack("<H", 1)
    assert "locked with a password" in refusals(tmp_path, {"yard.zip": bytes(data)})


def test_too_many_files(tmp_path: Path) -> None:
    archive = zipped({f"{number}.txt": b"" for number in range(unpacking.MOST_ENTRIES + 1)})
    assert "zip one folder only" in refusals(tmp_path, {"yard.zip": archive})


def test_an_archive_that_swells_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unpacking, "LARGEST_BYTES", 4_000_000)
    one = zipped({"readings.csv": bytes(5_000_000)})
    assert len(one) < 10_000
    assert "readings.csv: expected a file of at most" in refusals(tmp_path, {"yard.zip": one})


def test_files_that_are_too_much_together(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unpacking, "MOST_BYTES", 6_000_000)
    both = zipped({"readings.csv": bytes(4_000_000), "air.csv": bytes(4_000_000)})
    assert "unpacked, this is more than 6 MB" in refusals(tmp_path, {"yard.zip": both})


def test_a_disk_without_room(tmp_path: Path) -> None:
    with pytest.raises(Problem, match="cannot be laid out here"):
        unpack_upload(sent({"readings.csv": ROWS}), tmp_path / "nowhere")
