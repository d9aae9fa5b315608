"""The command `calc`: one module for each calculation, listed in `registry`."""
