"""Physical sense of crash factors and pulses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from layout.errors import Problem
from layout.job.crash import Crash, PulseEntry
from layout.job.sense.rule import Rule

_SIDES: Final = ("forward", "rearward", "left", "right", "up", "down")
_MOST_G: Final = 200.0
_TIMES_S: Final = (0.002, 1.0)
"""Pulses of road vehicles last tens to a few hundred milliseconds (common practice, no source)."""


def factor_problems(crash: Crash) -> Iterator[Problem]:
    """Factors without sign, of which some are above 0 and none beyond belief."""
    if crash.factors is None:
        return
    values = {side: float(getattr(crash.factors, side)) for side in _SIDES}
    for side, value in values.items():
        if not 0.0 <= value <= _MOST_G:
            want = f"must be 0 g to {_MOST_G:g} g; the key names the direction"
            yield Problem(f"crash.factors.{side}", f"{value:g} g", want, "Write the size without a sign, in g.")
    if max(values.values()) <= 0.0:
        yield Problem("crash.factors", "0 g in every direction", "one must be above 0", "Write the factors the pack must hold.")


def _pulses(crash: Crash) -> Iterator[tuple[str, PulseEntry]]:
    if crash.pulse is not None:
        yield "crash.pulse", crash.pulse
    for index, pulse in enumerate(crash.pulses, start=1):
        yield f"crash.pulses[{index}]", pulse


def pulse_problems(crash: Crash) -> Iterator[Problem]:
    """Peaks and durations of a size that crashes have; points that run forward in time."""
    for path, pulse in _pulses(crash):
        if pulse.peak_g is not None and pulse.peak_g > _MOST_G:
            yield Problem(f"{path}.peak", f"{pulse.peak_g:g} g", f"must be at most {_MOST_G:g} g", "Check the unit.")
        low, high = _TIMES_S
        if pulse.duration_s is not None and not low <= pulse.duration_s <= high:
            want = f"must be {low * 1e3:g} ms to {high * 1e3:g} ms"
            yield Problem(f"{path}.duration", f"{pulse.duration_s * 1e3:g} ms", want, "Check the unit: a bare number is in ms.")
        for key in ("points", "lower", "upper"):
            pairs = getattr(pulse, key, None)
            if pairs is not None:
                yield from _point_problems(pairs, f"{path}.{key}")


def _point_problems(pairs: tuple[tuple[float, float], ...], path: str) -> Iterator[Problem]:
    if len(pairs) < 2:
        yield Problem(path, f"{len(pairs)} points", "needs at least 2 points of [ms, g]", "Add the points of the record.")
        return
    for index in range(1, len(pairs)):
        if pairs[index][0] <= pairs[index - 1][0]:
            got = f"{pairs[index][0]:g} ms after {pairs[index - 1][0]:g} ms"
            yield Problem(f"{path}[{index + 1}]", got, "times must run forward", "Sort the points by time.")
            return


def file_problems(crash: Crash, folder: Path | None) -> Iterator[Problem]:
    """Records of acceleration that are not there."""
    for path, pulse in _pulses(crash):
        if pulse.file is not None and folder is not None and not (folder / pulse.file).is_file():
            want = "no such file beside the job file"
            yield Problem(f"{path}.file", f'"{pulse.file}"', want, "Put it there, or correct the name.")


def rule_set_problems(crash: Crash) -> Iterator[Problem]:
    """A rule set that the tables know."""
    from layout.loads.rule_sets import rule_sets  # the loads build on the job: not at import time

    if crash.rule_set is not None and crash.rule_set not in rule_sets():
        want = f"must be one of the rule sets in the tables: {', '.join(rule_sets())}"
        yield Problem("crash.rule_set", f'"{crash.rule_set}"', want, "Write one of these, or leave it out and give `factors`.")


RULES: Final = (
    Rule(("crash",), factor_problems),
    Rule(("crash",), pulse_problems),
    Rule(("crash", "folder"), file_problems),
    Rule(("crash",), rule_set_problems),
)
