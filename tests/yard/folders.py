"""A small sound folder, written by tests with the changes they care about."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path

from webapp.records import Database
from webapp.yard.gather_folder import gather_folder
from webapp.yard.take_in_folder import TakenIn, take_in_folder

TODAY = date(2024, 12, 31)
NOW = datetime(2024, 12, 31, 9, tzinfo=UTC)
_MONTHS = ",".join(
    [f"temp_{month:02d}" for month in range(1, 13)] + [f"rh_{month:02d}" for month in range(1, 13)]
)
_YEAR = ",".join(["10"] * 12 + ["75"] * 12)

SOUND = {
    "places.csv": f"place,kind,{_MONTHS}\nshed,open_shed,{_YEAR}\nloft,unheated,{_YEAR}\n",
    "boards.csv": (
        "board,stack,species,thickness_mm,stacked_on,place\n"
        "A1,A,white oak,32,2024-01-10,shed\n"
        "A2,A,Quercus alba,32,2024-01-12,shed\n"
        "B1,B,black cherry,27,2024-02-01,shed\n"
    ),
    "moves.csv": "stack,moved_on,place\nA,2024-06-01,loft\n",
    "readings.csv": (
        "board,read_on,reading,meter\n"
        "A1,2024-02-01,>30,m1\n"
        'A1,2024-03-01,"24,5",m1\n'
        'A1,2024-03-01,"24,5",m1\n'
        "B1,2024-03-01,<6,m1\n"
    ),
    "meters.csv": "meter,kind,scale,temperature,over_range_pct\nm1,pin,as_shown,compensated,30\n",
}
Changes = Mapping[str, str | bytes | None]


def write_files(folder: Path, files: Changes) -> Path:
    """Write a folder of files; None leaves one out."""
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        if text is not None:
            (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


def sound_folder(folder: Path, changes: Changes | None = None) -> Path:
    """Write the sound folder with some of its files changed."""
    return write_files(folder, SOUND | dict(changes or {}))


def take_in(database: Database, folder: Path) -> TakenIn:
    """Take a folder in, as the command does."""
    with database.writing() as session:
        return take_in_folder(session, folder, NOW, TODAY)


def written(database: Database) -> dict[str, list[tuple[str, ...]]]:
    """Give all the yard holds, as an export writes it."""
    with database.reading() as session:
        frames = gather_folder(session)
    return {
        name: [tuple(row) for row in frame.itertuples(index=False)]
        for name, frame in frames.items()
    }
