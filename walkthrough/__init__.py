"""Walk through a dwelling, judge every receptacle and circuit, and say what to correct."""

__version__ = "0.1.0"
