"""Form fields that read their text through the yard's parsers; errors stay with their field."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Protocol

from wtforms import Field
from wtforms.widgets import TextInput

from webapp.entry.fields import Unreadable


class SentFields(Protocol):
    """What a browser sent: texts under the names of the fields."""

    def __iter__(self) -> Iterator[str]:
        """Go through the names."""

    def __len__(self) -> int:
        """Count the names."""

    def __contains__(self, key: object, /) -> bool:
        """Tell whether a field was sent."""

    def getlist(self, key: str, /) -> list[str]:
        """List what was sent under one name."""


class ParsedField(Field):
    """A line of text that becomes one checked value; what was typed stays to be seen."""

    widget = TextInput()

    def __init__(
        self,
        label: str,
        read: Callable[[str], Any],
        *,
        needed: bool = False,
        **options: Any,
    ) -> None:
        super().__init__(label, **options)
        self.read = read
        self.needed = needed

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else str(self.data)

    def process_formdata(self, valuelist: Sequence[str]) -> None:
        """Read what was typed."""
        text = valuelist[0].strip() if valuelist else ""
        self.data = None
        if text:
            self.data = self._parsed(text)
        elif self.needed:
            raise ValueError("This is needed.")

    def _parsed(self, text: str) -> object:
        try:
            return self.read(text)
        except Unreadable as error:
            sentence = str(error)
            raise ValueError(sentence[:1].upper() + sentence[1:] + ".") from None
