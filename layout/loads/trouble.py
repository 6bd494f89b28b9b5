"""Errors of this package."""

from __future__ import annotations

from layout.errors import DesignError


class LoadsError(DesignError):
    """The loads cannot be worked out: names the part, the rule, the figure and the remedy."""


class Mechanism(LoadsError):
    """The mounts leave the pack a free motion. `motions` names each one in words."""

    def __init__(self, part: str, motions: tuple[str, ...], remedy: str) -> None:
        rule = "the mounts leave the pack free to move"
        super().__init__(part, rule, "; ".join(motions), remedy)
        self.motions = motions


class PulseError(LoadsError):
    """A crash pulse that cannot be used, with the reason."""
