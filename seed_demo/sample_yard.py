"""Builds the invented yard: two years of readings that end today."""

from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from seed_demo.drying_years import live_through
from seed_demo.happenings import HAPPENINGS, note_happenings
from seed_demo.readings_taken import all_readings
from seed_demo.sawn_boards import boards_of
from seed_demo.stack_stories import STORIES
from seed_demo.visits import PEOPLE, visits_to
from seed_demo.witnesses import WITNESSES, read_witness
from seed_demo.yard_folder import InventedYard, write_yard
from webapp.records.batch import batch_of
from webapp.records.database import Database
from webapp.yard.take_in_folder import take_in_folder


def build(database: Database, today: date, at: datetime) -> None:
    """Fill an empty database: the folder is taken in as a person's would be, then the events."""
    yard = invent(today)
    with TemporaryDirectory() as name, database.writing() as session:
        write_yard(Path(name), yard)
        take_in_folder(session, Path(name), at, today, person=PEOPLE[0], kind="demo")
        note_happenings(session, batch_of(session), yard.years, HAPPENINGS)


def invent(today: date) -> InventedYard:
    """Live through the years before today, and read the boards on the way."""
    boards = [board for story in STORIES for board in boards_of(story)]
    years = live_through(boards, today)
    visits = {story.mark: visits_to(story, years) for story in STORIES}
    return InventedYard(
        years,
        boards,
        [visit for found in visits.values() for visit in found],
        all_readings(boards, visits, years),
        [
            read
            for witness in WITNESSES
            for read in read_witness(witness, visits[witness.read_with], years)
        ],
    )
