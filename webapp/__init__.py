"""Flitchbook: a moisture log for drying stacks."""
