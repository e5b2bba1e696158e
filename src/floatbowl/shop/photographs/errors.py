"""What can be wrong with a photograph, or with looking at it, in sentences for whoever sent it."""

from __future__ import annotations


class KeepingError(ValueError):
    """A photograph that is not kept: what is wrong and what to do."""


class CannotLookError(RuntimeError):
    """This computer cannot look at photographs, or not read them: what is missing and what to do."""
