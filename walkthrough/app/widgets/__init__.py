"""The widgets of the app, one to a module."""
