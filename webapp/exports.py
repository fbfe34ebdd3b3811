"""Writes frames of texts as a folder of CSV files: UTF-8, one LF a line, always the same bytes."""

import csv
import io
import shutil
import tempfile
import zipfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import IO, TextIO

import pandas as pd

from webapp.problems import Problem, Refused


def csv_bytes(frame: pd.DataFrame) -> bytes:
    """Write one frame of texts as the bytes of a CSV file with a header."""
    written = io.StringIO()
    _write_csv(frame, written)
    return written.getvalue().encode()


def _write_csv(frame: pd.DataFrame, written: TextIO) -> None:
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(frame.columns)
    writer.writerows(zip(*(frame[name].to_numpy() for name in frame.columns), strict=True))


def write_folder(frames: Mapping[str, pd.DataFrame], folder: Path) -> None:
    """Write all files, or none; raises Refused where other files lie, Problem where none may.

    They are written beside the folder first. An earlier export is replaced as a whole.
    """
    folder = folder.absolute()
    _refuse_foreign(frames, folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    except OSError as error:
        raise _unwritable(folder, error) from error
    try:
        fresh = beside / "new"
        fresh.mkdir()
        for name, frame in frames.items():
            with (fresh / name).open("w", encoding="utf-8", newline="") as file:
                _write_csv(frame, file)
        _take_the_place_of(folder, fresh, beside / "old")
    except OSError as error:
        raise _unwritable(folder, error) from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def zip_folder(
    frames: Mapping[str, pd.DataFrame], name: str, day: date, written: IO[bytes]
) -> None:
    """Write the same files as a zip that unpacks as one folder."""
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        for file, frame in frames.items():
            entry = zipfile.ZipInfo(f"{name}/{file}", (day.year, day.month, day.day, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, csv_bytes(frame))


def _refuse_foreign(frames: Mapping[str, pd.DataFrame], folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise Refused(f"{folder} is a file: name a folder that is new, empty or an earlier export.")
    foreign = sorted(
        path.name
        for path in (folder.iterdir() if folder.exists() else ())
        if path.name not in frames or not path.is_file() or not _is_ours(path, frames[path.name])
    )
    if foreign:
        raise Refused(
            f"{folder} holds other things ({', '.join(foreign[:3])}): name a folder that is new, "
            "empty or an earlier export. Nothing was written."
        )


def _is_ours(path: Path, frame: pd.DataFrame) -> bool:
    """Tell a file of an earlier export by its first line, which has every column and the id."""
    with path.open(encoding="utf-8", errors="replace") as file:
        return file.readline().rstrip("\n") == ",".join(frame.columns)


def _take_the_place_of(folder: Path, fresh: Path, old: Path) -> None:
    if not folder.exists():
        fresh.rename(folder)
        return
    folder.rename(old)
    try:
        fresh.rename(folder)
    except OSError:
        old.rename(folder)
        raise


def _unwritable(folder: Path, error: OSError) -> Problem:
    return Problem(f"{folder} cannot be written: {error.strerror or error}. Nothing was changed.")
