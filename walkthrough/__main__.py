"""Lets `python -m walkthrough` run the program."""

import sys

from walkthrough.cli import main

sys.exit(main())
