"""How tight the bolts of the brackets are to be: the same figure for the checks and for the torque table."""

from __future__ import annotations

from layout.checks.joints import Preload, preload

PROOF_SHARE = 0.65
"""Preload as a share of the proof load. 0.75 is usual for reusable joints (Shigley, 9th ed., ch. 8); less here, because a
torque wrench scatters by 30 per cent and the bolt must not pass its proof load with its share of the road loads on top."""


def tightening(size: str, grade: str) -> Preload:
    """Torque and preload of a bolt, dry steel threads. Raises UnknownName for a size or class that is not listed."""
    return preload(size, grade, proof_share=PROOF_SHARE)
