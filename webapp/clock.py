"""The only place that asks what time it is."""

from datetime import UTC, date, datetime


def now() -> datetime:
    """Return this moment, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """Return today's date where this computer stands."""
    return datetime.now().astimezone().date()
