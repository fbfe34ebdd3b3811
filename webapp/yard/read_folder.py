"""Read a folder's files from the disk into checked sheets."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from webapp.entry.folder import FILE_NAMES, FILES, FileKind
from webapp.entry.spreadsheet import Sheet, read_sheet
from webapp.entry.table import LARGEST_BYTES
from webapp.problems import NotFound, Problem, Refusal, Refused


@dataclass
class ReadFolder:
    """The sheets of the files that are there, by name, and the files that were refused whole."""

    sheets: dict[str, Sheet] = field(default_factory=dict)
    refusals: list[Refusal] = field(default_factory=list)
    file_hash: str = ""


def read_folder(folder: Path, progress: Callable[[int], None]) -> ReadFolder:
    """Read every file of the folder; raises Problem if there is none to read."""
    there = _files_of(folder)
    read = ReadFolder(refusals=[unknown_file(name) for name in there if name not in FILE_NAMES])
    digest = hashlib.sha256()
    for file in FILES:
        if file.name not in there:
            continue
        data = _bytes_of(file, there[file.name], read.refusals)
        digest.update(f"{file.name}\n{len(data)}\n".encode())
        digest.update(data)
        if data or not read.refusals or read.refusals[-1].file != file.name:
            read.sheets[file.name] = read_sheet(file, data)
        progress(len(data))
    read.file_hash = digest.hexdigest()
    return read


def bytes_in(folder: Path) -> int:
    """Tell how many bytes there are to read, for a progress bar."""
    paths = _files_of(folder).values()
    return sum(path.stat().st_size for path in paths if path.is_file())


def _files_of(folder: Path) -> dict[str, Path]:
    if not folder.exists():
        raise NotFound(f"There is no folder {folder}.")
    if not folder.is_dir():
        raise Refused(f"{folder} is not a folder: expected a folder with {', '.join(FILE_NAMES)}.")
    try:
        paths = sorted(folder.iterdir())
    except OSError as error:
        raise Problem(f"{folder} cannot be read: {error.strerror or error}.") from error
    there = {path.name: path for path in paths if path.suffix.casefold() == ".csv"}
    if not there:
        raise Refused(f"{folder} holds none of the files {', '.join(FILE_NAMES)}.")
    return there


def unknown_file(name: str) -> Refusal:
    """Refuse a file that is none of ours."""
    return Refusal(name, None, None, f"unknown file: expected only {', '.join(FILE_NAMES)}")


def too_large(name: str) -> Refusal:
    """Refuse a file that is larger than we read at once."""
    limit = LARGEST_BYTES // 1_000_000
    said = f"expected a file of at most {limit} MB: split it into several"
    return Refusal(name, None, None, said)


def _bytes_of(file: FileKind, path: Path, refusals: list[Refusal]) -> bytes:
    try:
        data = _first_bytes(path)
    except OSError as error:
        said = f"this file cannot be read: {error.strerror or error}"
        refusals.append(Refusal(file.name, None, None, said))
        return b""
    if len(data) > LARGEST_BYTES:
        refusals.append(too_large(file.name))
        return b""
    return data


def _first_bytes(path: Path) -> bytes:
    # A pipe or a device would be read for ever.
    if path.exists() and not path.is_file():
        raise OSError("it is no ordinary file")
    with path.open("rb") as opened:
        return opened.read(LARGEST_BYTES + 1)
