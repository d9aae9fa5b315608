"""Walk through a dwelling, judge every receptacle and circuit, and say what to correct."""

import os

# Else the library that checks shapes reads the metadata of every installed package at each start,
# to look for extensions of its own.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")

__version__ = "0.1.0"
