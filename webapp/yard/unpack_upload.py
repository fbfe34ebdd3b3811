"""Unpack what a browser sent, a zip or CSV files, into a folder that an import can read."""

import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import IO, NamedTuple, NoReturn

from webapp.entry.folder import FILE_NAMES
from webapp.entry.table import LARGEST_BYTES
from webapp.problems import Problem, Refusal, RefusedFolder
from webapp.yard.read_folder import too_large, unknown_file

MOST_BYTES = 2 * LARGEST_BYTES
MOST_ENTRIES = 1_000
_BLOCK = 1 << 20
_ZIP_SIGNS = (b"PK\x03\x04", b"PK\x05\x06")
_SPREADSHEET_SIGNS = {"[Content_Types].xml", "mimetype"}
_LOCKED = 1
_USUAL_PACKING = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_DAMAGED = "this zip archive is damaged, or was not sent whole: make it again"


class Sent(NamedTuple):
    """A file as it was sent."""

    name: str
    data: IO[bytes]


def unpack_upload(sent: Sequence[Sent], folder: Path) -> list[Refusal]:
    """Lay the CSV files that were sent into an empty folder; list what is not one of them.

    Raises RefusedFolder when there is nothing to read, or far too much.
    """
    unpacking = _Unpacking(folder)
    try:
        for name, data in sent:
            unpacking.take(_plain_name(name), data)
    except OSError as error:
        raise Problem(f"What was sent cannot be laid out here: {error.strerror}.") from error
    if not unpacking.taken:
        none = "there is no CSV file in it: expected " + ", ".join(FILE_NAMES)
        raise RefusedFolder(
            unpacking.refusals or [Refusal(_plain_name(sent[0].name), None, None, none)]
        )
    return unpacking.refusals


def _plain_name(name: str) -> str:
    return name.replace("\\", "/").rpartition("/")[2] or "upload"


@dataclass
class _Unpacking:
    folder: Path
    refusals: list[Refusal] = field(default_factory=list)
    taken: set[str] = field(default_factory=set)
    size: int = 0

    def take(self, name: str, data: IO[bytes]) -> None:
        beginning = data.read(4)
        data.seek(0)
        if beginning in _ZIP_SIGNS:
            self._take_archive(name, data)
        elif name.casefold().endswith(".zip"):
            self._refuse(name, "this is not a zip archive")
        elif name.casefold().endswith(".csv"):
            self._take_file(name, data)
        else:
            self._refuse(name, "expected a zip archive, or CSV files")

    def _take_archive(self, name: str, data: IO[bytes]) -> None:
        try:
            with zipfile.ZipFile(data) as archive:
                for entry in self._entries(name, archive):
                    with archive.open(entry) as opened:
                        self._take_file(_plain_name(entry.filename), opened)
        except (zipfile.BadZipFile, zlib.error, EOFError):
            self._give_up(Refusal(name, None, None, _DAMAGED))

    def _entries(self, name: str, archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
        """Choose the CSV files of an archive, if they can be trusted and lie in one folder."""
        entries = archive.infolist()
        if len(entries) > MOST_ENTRIES:
            self._refuse(name, f"this archive holds {len(entries)} files: zip one folder only")
            return []
        if _SPREADSHEET_SIGNS & {entry.filename for entry in entries}:
            self._refuse(name, "this is a spreadsheet's own file: save each sheet as “CSV UTF-8”")
            return []
        entries = [entry for entry in entries if _is_csv(entry)]
        faults = [fault for entry in entries if (fault := _fault(entry))]
        folders = sorted({_path(entry).parent.as_posix() for entry in entries})
        if len(folders) > 1:
            listed = ", ".join(f"“{each}”" for each in folders[:3])
            faults.append(f"the CSV files lie in several folders ({listed}): zip one folder only")
        for fault in faults:
            self._refuse(name, fault)
        return [] if faults else entries

    def _take_file(self, name: str, data: IO[bytes]) -> None:
        if name in self.taken:
            self._refuse(name, "this file was sent twice")
        elif name not in FILE_NAMES:
            self.refusals.append(unknown_file(name))
        else:
            self.taken.add(name)
            self._copy(name, data)

    def _copy(self, name: str, data: IO[bytes]) -> None:
        size = 0
        with (self.folder / name).open("xb") as file:
            while block := data.read(_BLOCK):
                size += len(block)
                if size > LARGEST_BYTES:
                    self._give_up(too_large(name))
                self.size += len(block)
                if self.size > MOST_BYTES:
                    limit = MOST_BYTES // 1_000_000
                    said = f"unpacked, this is more than {limit} MB: send it in several parts"
                    self._give_up(Refusal(name, None, None, said))
                file.write(block)

    def _give_up(self, refusal: Refusal) -> NoReturn:
        """End at once: of half a file everything else would be refused as well."""
        raise RefusedFolder([*self.refusals, refusal])

    def _refuse(self, name: str, sentence: str) -> None:
        self.refusals.append(Refusal(name, None, None, sentence))


def _path(entry: zipfile.ZipInfo) -> PurePosixPath:
    return PurePosixPath(entry.filename.replace("\\", "/"))


def _is_csv(entry: zipfile.ZipInfo) -> bool:
    """Tell the files that count from what programs put beside them, such as `__MACOSX`."""
    path = _path(entry)
    hidden = any(part.startswith((".", "__MACOSX")) and part != ".." for part in path.parts)
    return path.suffix.casefold() == ".csv" and not hidden and not entry.is_dir()


def _fault(entry: zipfile.ZipInfo) -> str:
    path = _path(entry)
    if path.is_absolute() or ".." in path.parts or ":" in path.parts[0]:
        return f"“{entry.filename}” points out of the archive: zip the folder itself"
    if entry.flag_bits & _LOCKED:
        return f"“{path.name}” is locked with a password: zip the folder without one"
    if entry.compress_type not in _USUAL_PACKING:
        return f"“{path.name}” is packed in an unusual way: zip the folder with the usual one"
    return ""
