"""The Textual screens; nothing outside this folder imports Textual."""
