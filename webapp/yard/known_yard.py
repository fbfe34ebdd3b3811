"""What the yard already knows: the live marks, and where stacks and boards have been."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from webapp.records import (
    Board,
    BoardStay,
    Log,
    Meter,
    Place,
    Record,
    Round,
    Stack,
    StackStay,
    WitnessBoard,
)


@dataclass(frozen=True)
class KnownStay:
    """A stack at a place, or a board in a stack (None: in none), from a day on."""

    from_on: date
    where: str | None
    row_id: int
    uid: UUID
    why: str | None = None


@dataclass
class KnownYard:
    """Inner keys by mark, and the stays of every live stack and board, oldest first."""

    places: dict[str, int]
    meters: dict[str, int]
    logs: dict[str, int]
    stacks: dict[str, int]
    boards: dict[str, int]
    rounds: dict[str, int]
    witness_boards: dict[str, int]
    stack_stays: dict[str, list[KnownStay]]
    board_stays: dict[str, list[KnownStay]]


def know_yard(session: Session) -> KnownYard:
    """Bring what the yard knows."""
    return KnownYard(
        places=keys_by_mark(session, Place, Place.name),
        meters=keys_by_mark(session, Meter, Meter.name),
        logs=keys_by_mark(session, Log, Log.mark),
        stacks=keys_by_mark(session, Stack, Stack.mark),
        boards=keys_by_mark(session, Board, Board.mark),
        rounds=keys_by_mark(session, Round, Round.mark),
        witness_boards=keys_by_mark(session, WitnessBoard, WitnessBoard.mark),
        stack_stays=_stack_stays(session),
        board_stays=_board_stays(session),
    )


def keys_by_mark(
    session: Session, kind: type[Record], mark: InstrumentedAttribute[str]
) -> dict[str, int]:
    """Bring the inner key of every live record of a kind, by its mark."""
    rows = session.execute(select(mark, kind.id).where(kind.live()))
    return {name: key for name, key in rows}  # noqa: C416 - a row is no tuple to dict()


def _stack_stays(session: Session) -> dict[str, list[KnownStay]]:
    wanted = (
        select(Stack.mark, StackStay.from_on, Place.name, StackStay.id, StackStay.uid)
        .join(StackStay.stack)
        .join(StackStay.place)
        .where(StackStay.live(), Stack.live())
        .order_by(StackStay.from_on, StackStay.id)
    )
    stays: dict[str, list[KnownStay]] = defaultdict(list)
    for mark, from_on, where, row_id, uid in session.execute(wanted):
        stays[mark].append(KnownStay(from_on, where, row_id, uid))
    return dict(stays)


def _board_stays(session: Session) -> dict[str, list[KnownStay]]:
    wanted = (
        select(
            Board.mark, BoardStay.from_on, Stack.mark, BoardStay.id, BoardStay.uid, BoardStay.why
        )
        .join(BoardStay.board)
        .outerjoin(BoardStay.stack)
        .where(BoardStay.live(), Board.live())
        .order_by(BoardStay.from_on, BoardStay.id)
    )
    stays: dict[str, list[KnownStay]] = defaultdict(list)
    for mark, from_on, where, row_id, uid, why in session.execute(wanted):
        stays[mark].append(KnownStay(from_on, where, row_id, uid, why))
    return dict(stays)
