"""How fast it is, beside something a reader can picture: `python -m tests.benchmarks`."""
