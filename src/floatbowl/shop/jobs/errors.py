"""What keeps something from being written down, in sentences for whoever holds the phone."""

from __future__ import annotations


class AskBackError(ValueError):
    """What was entered cannot be, or cannot be so: the question to ask back. ``suggests`` may hold what was meant."""

    def __init__(self, says: str, suggests: str = "") -> None:
        super().__init__(says)
        self.suggests = suggests


class ConflictError(ValueError):
    """Somebody else wrote the same thing down since this page was made."""
