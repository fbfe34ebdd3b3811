"""Codes for labels: short, typable, with no letters or figures that look alike and no vowels."""

import secrets

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.board import Board
from webapp.records.stack import Stack

ALPHABET = "34679CDFHJKMNPRTVWXY"
LENGTH = 5
_AT_ONCE = 500


def fresh_code(session: Session, kind: type[Board | Stack]) -> str:
    """Make a code that no board (or no stack) of the yard has."""
    return fresh_codes(session, kind, 1)[0]


def fresh_codes(session: Session, kind: type[Board | Stack], count: int) -> list[str]:
    """Make so many codes at once, different from each other and from all in the yard."""
    codes: set[str] = set()
    while len(codes) < count:
        drawn = {_draw() for _ in range(min(count - len(codes), _AT_ONCE))}
        taken = session.scalars(select(kind.code).where(kind.code.in_(drawn)))
        codes |= drawn - set(taken)
    return list(codes)


def _draw() -> str:
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
