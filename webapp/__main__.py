"""Lets `python -m webapp` stand for the command `flitchbook`."""

from webapp.cli import main

if __name__ == "__main__":
    main()
