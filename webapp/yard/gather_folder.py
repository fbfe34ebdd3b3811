"""Gather the whole yard as the folder's files: frames of texts, in an order that never changes."""

from operator import itemgetter

import pandas as pd
from sqlalchemy.orm import Session

from webapp.entry.folder import FILES, FileKind
from webapp.yard.folder_rows import rows_of, texts_of
from webapp.yard.known_yard import KnownYard, know_yard


def gather_folder(session: Session) -> dict[str, pd.DataFrame]:
    """Bring every file of the folder by name; each cell as it is written."""
    known = know_yard(session)
    return {file.name: _frame(session, file, known) for file in FILES}


def _frame(session: Session, file: FileKind, known: KnownYard) -> pd.DataFrame:
    order = itemgetter(*(file.names.index(name) for name in (*file.order, "id")))
    rows = sorted(texts_of(file, rows_of(session, file, known)), key=order)
    return pd.DataFrame(rows, columns=list(file.names), dtype=object)
