"""The screens of the app, one to a module."""
