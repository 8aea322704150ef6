"""Answers in words and in the documented JSON form, for commands, pages and cards."""
