"""Open the batch that everything written down from now on belongs to."""

from webapp.records.batch import open_batch

__all__ = ["open_batch"]
