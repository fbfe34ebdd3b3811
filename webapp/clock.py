"""The only place that asks what time it is."""

from datetime import UTC, date, datetime


def now() -> datetime:
    """Return this moment, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """Return today's date where this computer stands."""
    return datetime.now().astimezone().date()


def where_we_are(moment: datetime) -> datetime:
    """Turn a moment to the time where this computer stands."""
    return moment.astimezone()
