"""Keep what is known of a log before it is sawn."""

from dataclasses import asdict

from sqlalchemy.orm import Session

from webapp.entry.entries import LogEntry
from webapp.records.batch import Batch
from webapp.records.log import Log, log_marked
from webapp.yard.checks import free_mark, known_species, uid_or_new


def keep_log(session: Session, batch: Batch, entry: LogEntry) -> Log:
    """Write down a new log; raises Conflict if its mark is used, Refused for an unknown species."""
    facts = asdict(entry)
    mark = free_mark(log_marked(session, facts.pop("log")), "log", entry.log)
    facts |= {"uid": uid_or_new(entry.uid), "species": known_species(entry.species)}
    log = Log(batch=batch, mark=mark, **facts)
    session.add(log)
    session.flush()
    return log
