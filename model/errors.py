"""The one error a person is meant to read."""

from __future__ import annotations

__all__ = ["InputError"]


class InputError(ValueError):
    """Something a person gave cannot be used.

    The message is one sentence that names the entry, says what is wrong with
    it and what to do. The commands and the app show it as it is.
    """
