"""The invented yard: a school's woodwork department dries storm-felled street trees.

Everything in it is made up: school, streets, people, weather and wood.
"""

from seed_demo.sample_yard import build

__all__ = ["build"]
