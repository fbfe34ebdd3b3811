"""Set rows back to what they were, some thousand at once, as an import brings them.

It goes past the mapped classes; every row it touches leaves a Change all the same.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any, cast

from sqlalchemy import RowMapping, Table, bindparam, insert, select, tuple_, update
from sqlalchemy.orm import Session

from webapp.problems import Conflict
from webapp.records import Batch, Change, Record
from webapp.records.history import plain_of, typed
from webapp.yard.effects import Effect, Effects, changed_since
from webapp.yard.naming import named, sentence

_AT_ONCE = 5_000
Values = dict[str, Any]
# A row as it is, and the values it gets.
_Pair = tuple[RowMapping, Values]


def set_back(session: Session, batch: Batch, kind: type[Record], effects: Effects) -> None:
    """Give each row the values it had before; raises Conflict if they were changed since."""
    if effects:
        _Setter(session, batch, kind).set_back(effects)


class _Setter:
    """Writes rows of one table in one batch."""

    def __init__(self, session: Session, batch: Batch, kind: type[Record]) -> None:
        self.session = session
        self.connection = session.connection()
        self.batch = batch
        self.kind = kind
        self.table = cast("Table", kind.__table__)
        self.known: dict[int, tuple[Values, Values]] = {}
        self.unique = [index for index in self.table.indexes if index.unique]

    def set_back(self, effects: Effects) -> None:
        """Let the rows that end struck go first, then bring back the live ones."""
        coming: list[_Pair] = []
        for pairs in self._pairs(effects):
            self._note(pairs)
            self._write([pair for pair in pairs if not _ends_live(pair)])
            live = [pair for pair in pairs if _ends_live(pair)]
            self._hide([row for row, _new in live if row["struck_at"] is None])
            coming += live
        self._refuse_namesakes(coming)
        self._write(coming)

    def _pairs(self, effects: Effects) -> Iterator[list[_Pair]]:
        named_in = set().union(*(effect.before for effect in effects.values()))
        always = {"id", "uid", "struck_at", "from_on", "until_on"} & set(self.table.c.keys())
        of_unique = {column.name for index in self.unique for column in index.columns}
        wanted = select(*(self.table.c[name] for name in sorted(named_in | always | of_unique)))
        for uids in _chunks(effects):
            rows = self.connection.execute(wanted.where(self.table.c.uid.in_(uids)))
            pairs = []
            for row in rows.mappings():
                before, after = self._typed(effects[row["uid"]])
                if any(row[name] != value for name, value in after.items()):
                    raise changed_since(self.session, self._record(row))
                # Whether it is struck is always written, as rows are hidden in between.
                new = {"struck_at": row["struck_at"], **before}
                self._refuse_backward(row, new)
                pairs.append((row, new))
            yield pairs

    def _typed(self, effect: Effect) -> tuple[Values, Values]:
        """Turn an effect's values into those of columns, once for all rows that share it."""
        if id(effect) not in self.known:
            before, after = (
                {name: typed(self.kind, name, plain) for name, plain in values.items()}
                for values in effect
            )
            self.known[id(effect)] = (before, after)
        return self.known[id(effect)]

    def _refuse_backward(self, row: RowMapping, new: Values) -> None:
        stay = {**row, **new}
        until_on = stay.get("until_on")
        if until_on is not None and until_on <= stay["from_on"]:
            said = sentence(named(self._record(row)))
            raise Conflict(f"{said} ends on {until_on}: undo that first.")

    def _refuse_namesakes(self, coming: Sequence[_Pair]) -> None:
        """Refuse if by now another live row has what only one may have."""
        for index in self.unique:
            condition = index.dialect_options["sqlite"]["where"]
            names = [column.name for column in index.columns]
            finals = [{**row, **new} for row, new in coming]
            values = [
                tuple(final[name] for name in names)
                for final in finals
                # Of stays only the open one is the only one.
                if final.get("until_on") is None
            ]
            for some in _chunks(values):
                there = select(self.kind).where(condition, tuple_(*index.columns).in_(some))
                other = self.session.scalars(there.limit(1)).one_or_none()
                if other is not None:
                    raise Conflict(f"{sentence(named(other))} is in the yard by now.")

    def _hide(self, rows: Sequence[RowMapping]) -> None:
        """Take live rows out of the unique indexes while marks and open stays change hands."""
        self._write([(row, {"struck_at": self.batch.at}) for row in rows])

    def _write(self, pairs: Sequence[_Pair]) -> None:
        alike: dict[tuple[str, ...], list[Values]] = defaultdict(list)
        for row, new in pairs:
            values = {f"new_{name}": value for name, value in new.items()}
            alike[tuple(new)].append(values | {"row_id": row["id"]})
        for names, values_of in alike.items():
            wanted = update(self.table).where(self.table.c.id == bindparam("row_id"))
            wanted = wanted.values({name: bindparam(f"new_{name}") for name in names})
            for some in _chunks(values_of):
                self.connection.execute(wanted, some)

    def _note(self, pairs: Sequence[_Pair]) -> None:
        changes = []
        for row, new in pairs:
            differing = [name for name, value in new.items() if row[name] != value]
            change = {
                "batch_id": self.batch.id,
                "table_name": self.table.name,
                "row_uid": row["uid"],
                "before": {name: plain_of(row[name]) for name in differing},
                "after": {name: plain_of(new[name]) for name in differing},
            }
            changes.append(change)
        if changes:
            self.connection.execute(insert(cast("Table", Change.__table__)), changes)

    def _record(self, row: RowMapping) -> Record:
        return self.session.get_one(self.kind, row["id"])


def _ends_live(pair: _Pair) -> bool:
    return pair[1]["struck_at"] is None


def _chunks(things: Any) -> Iterator[list[Any]]:  # noqa: ANN401 - of anything
    coming = iter(things)
    while some := list(islice(coming, _AT_ONCE)):
        yield some
