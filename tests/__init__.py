"""Checks of Flitchbook, laid out like the package they check."""
