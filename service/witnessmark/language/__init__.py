"""Texts of answers in other languages: data, looked up by the English text, so that a changed text is never mistold."""
