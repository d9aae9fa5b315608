"""Tests of the app: real keys, and what is then seen on the screen."""
