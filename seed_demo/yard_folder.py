"""Writes the invented yard as the folder of CSV files that a person would bring along."""

import csv
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from seed_demo.drying_years import DryingYears
from seed_demo.meters import METERS, NEW_PINS
from seed_demo.places import CELLAR, PLACES, STORE
from seed_demo.readings_taken import Taken
from seed_demo.sawn_boards import SawnBoard
from seed_demo.stack_stories import LEFT, STORIES
from seed_demo.storm_logs import LOGS, StormLog
from seed_demo.visits import Visit
from seed_demo.witnesses import WITNESSES, WitnessRead

Row = Mapping[str, object]

HYGROMETER_PLACES = (STORE, CELLAR)
HYGROMETER_DAYS, HYGROMETER_SINCE_AGO = 7, 364
NOTED_AT = time(7, 30)


@dataclass(frozen=True)
class InventedYard:
    """Everything that is written down of the yard."""

    years: DryingYears
    boards: Sequence[SawnBoard]
    visits: Sequence[Visit]
    readings: Sequence[Taken]
    witness_readings: Sequence[WitnessRead]


def write_yard(folder: Path, yard: InventedYard) -> None:
    """Write the files."""
    files: dict[str, Iterable[Row]] = {
        "places": _places(),
        "air": _air(yard.years),
        "meters": _meters(),
        "logs": (_log(log, yard.years) for log in LOGS),
        "stacks": _stacks(),
        "boards": (_board(board, yard.years) for board in yard.boards),
        "moves": _moves(yard.years),
        "board_moves": _board_moves(yard.years),
        "rounds": map(_round, yard.visits),
        "readings": (_reading(taken, yard.years) for taken in yard.readings),
        "witness_boards": _witness_boards(yard.years),
        "witness_readings": map(_witness_reading, yard.witness_readings),
    }
    for name, rows in files.items():
        _write(folder / f"{name}.csv", list(rows))


def log_mark(log: StormLog, years: DryingYears) -> str:
    """Give a log's mark: the year it was felled, and its number."""
    return f"{years.day(log.felled_ago).year % 100:02d}-{log.number:02d}"


def _write(file: Path, rows: Sequence[Row]) -> None:
    with file.open("w", encoding="utf-8", newline="") as opened:
        writer = csv.DictWriter(opened, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


def _places() -> Iterator[Row]:
    for place in PLACES:
        months = range(1, 13)
        temperatures = zip(
            (f"temp_{month:02d}" for month in months), place.temperature_c, strict=True
        )
        humidities = zip((f"rh_{month:02d}" for month in months), place.rh_pct, strict=True)
        named = {"place": place.name, "kind": place.kind, "air_of": place.air_of}
        yield named | dict(temperatures) | dict(humidities)


def _air(years: DryingYears) -> Iterator[Row]:
    """Note the hygrometer once a week, where one hangs."""
    for name in HYGROMETER_PLACES:
        for ago in range(HYGROMETER_SINCE_AGO, 0, -HYGROMETER_DAYS):
            air, column = years.air[name], years.column(ago)
            yield {
                "place": name,
                "at": datetime.combine(years.day(ago), NOTED_AT, UTC).isoformat(),
                "temperature_c": round(float(air.temperature_c[column]), 1),
                "rh_pct": round(float(air.rh_pct[column])),
            }


def _meters() -> Iterator[Row]:
    for meter in METERS:
        yield {
            "meter": meter.name,
            "kind": "pin",
            "scale": meter.scale,
            "temperature": meter.temperature,
            "over_range_pct": meter.over_range_pct,
            "under_range_pct": meter.under_range_pct,
            "needle_mm": meter.needle_mm,
            "insulated": meter.insulated,
        }


def _log(log: StormLog, years: DryingYears) -> Row:
    sealed_ago = None if log.sealed_after is None else log.felled_ago - log.sealed_after
    return {
        "log": log_mark(log, years),
        "species": log.species,
        "stood_at": log.street,
        "stood_as": log.stood_as,
        "felled_on": years.day(log.felled_ago),
        "sawn_on": years.day(log.sawn_ago),
        "length_mm": log.length_mm,
        "diameter_mm": log.diameter_mm,
        "ends_sealed_on": sealed_ago and years.day(sealed_ago),
        "bark_off_on": log.bark_off_ago and years.day(log.bark_off_ago),
        "insects": log.insects,
        "metal": log.metal,
        "decision": log.decision,
        "note": log.note,
    }


def _stacks() -> Iterator[Row]:
    for story in STORIES:
        yield {
            "stack": story.mark,
            "name": story.name,
            "stickers_mm": story.stickers_mm,
            "spacing_mm": 400,
            "kept_as": story.kept_as,
            "held_by": story.held_by,
            "board_count": story.counted,
            "target_pct": story.target_pct,
            "use": story.use,
            "note": story.note,
        }


def _board(board: SawnBoard, years: DryingYears) -> Row:
    story, log = board.story, board.log
    return {
        "board": board.mark,
        "stack": story.mark,
        "species": story.species,
        "thickness_mm": story.thickness_mm,
        "stacked_on": years.day(story.stacked_ago),
        "place": story.place,
        "width_mm": board.width_mm,
        "width_end_mm": board.width_end_mm,
        "length_mm": board.length_mm,
        "sawn_on": log and years.day(log.sawn_ago),
        "grain": story.grain,
        "log": log and log_mark(log, years),
        "turn": board.turn,
        "borate": "sprayed when stacked" if story.species == "white ash" else None,
    }


def _moves(years: DryingYears) -> Iterator[Row]:
    for story in STORIES:
        if story.moved_to is not None:
            moved_on = years.day(story.moved_ago)
            yield {"stack": story.mark, "moved_on": moved_on, "place": story.moved_to}


def _board_moves(years: DryingYears) -> Iterator[Row]:
    for board, (ago, why) in LEFT.items():
        yield {"board": board, "moved_on": years.day(ago), "stack": None, "why": why}


def _round(visit: Visit) -> Row:
    return {
        "round": visit.mark,
        "stack": visit.story.mark,
        "started_at": visit.started_at.isoformat(),
        "ended_at": visit.ended_at.isoformat(),
        "temperature_c": visit.temperature_c,
        "rh_pct": visit.rh_pct,
        "person": visit.person,
    }


def _reading(taken: Taken, years: DryingYears) -> Row:
    visit = taken.visit
    struck_on = years.day(visit.ago - 1) if taken.struck_why else None
    return {
        "board": taken.board,
        "read_on": years.day(visit.ago),
        "reading": taken.text,
        "meter": visit.story.meter,
        "temperature_c": taken.wood_c,
        "spot": visit.story.spot,
        "hit": taken.hit,
        "round": visit.mark,
        "note": taken.note,
        "by": visit.person,
        "struck_on": struck_on,
        "struck_why": taken.struck_why,
    }


def _witness_boards(years: DryingYears) -> Iterator[Row]:
    for witness in WITNESSES:
        dry_since = years.today - timedelta(days=365 * witness.dry_for_years)
        yield {
            "board": witness.mark,
            "place": witness.place,
            "species": witness.species,
            "thickness_mm": witness.thickness_mm,
            "known_dry_since": dry_since,
            "note": witness.note,
        }


def _witness_reading(read: WitnessRead) -> Row:
    return {
        "board": read.board,
        "read_on": read.read_on,
        "reading": read.text,
        "meter": NEW_PINS,
        "by": read.person,
    }
