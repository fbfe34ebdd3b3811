"""From raw text to checked values: the same parsers serve the forms and the files' columns."""
