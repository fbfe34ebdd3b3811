"""`python -m seed_demo FILE` makes the invented yard in a file that is not there yet."""

import sys
from pathlib import Path

from seed_demo.sample_yard import build
from webapp import clock
from webapp.yard.keep_file import open_yard


def main() -> None:
    """Make the file named on the command line."""
    if len(sys.argv) != 2:  # noqa: PLR2004 - the program and its one argument
        sys.exit("Usage: python -m seed_demo FILE")
    file = Path(sys.argv[1])
    if file.exists():
        sys.exit(f"{file} is there already: the invented yard needs a file of its own.")
    database = open_yard(f"sqlite:///{file}")
    try:
        build(database, clock.today(), clock.now())
    finally:
        database.close()


if __name__ == "__main__":
    main()
