"""From a pulse to a static load case: the acceleration that loads the mounts as the shaken pack does.

Per pulse: (1) spectrum of the pulse at the pack's natural frequencies, each taken over 0.7 to 1.4 of its value, weighted
by the modes' shares in the mass; (2) the pack's six modes run through the pulse in time, all stiffnesses scaled the same
way, mount forces compared with those of a static load. The greatest of both and of the pulse's own peak is used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final

import numpy as np

from layout.checks.rule import Source
from layout.frames import Array, vec3
from layout.job import Job
from layout.job.crash import Side
from layout.loads.cases import THROWN, LoadCase
from layout.loads.modes import Modes, RigidBody, modes
from layout.loads.mounts import Mount
from layout.loads.pulses import Pulse, corridor, from_points, half_sine, pulse_of
from layout.loads.rule_sets import DIRECTIONS, RuleRow, rule_set
from layout.loads.shock import filtered, history, spectrum, time_step

SCALES: Final = np.geomspace(0.7, 1.4, 11)
"""Factors on every natural frequency: stiffness of brackets and vehicle is known to a factor of two at best."""

SOFT_HZ: Final = 15.0
"""Below this a pack swings so far that linear theory and gaps no longer agree (own choice)."""

_PER_PERIOD: Final = 40
"""Samples per period of the fastest mode: a peak of its ripple is missed by at most 0.3 %."""

_HELD: Final = 0.3
"""Mounts with less static force than this share of the greatest are not compared one by one."""


@dataclass(frozen=True)
class NamedPulse:
    """A pulse with where it throws the pack and where it comes from."""

    pulse: Pulse
    direction: Side
    source: Source
    note: str = ""


@dataclass(frozen=True)
class PulseResponse:
    """What one pulse does to the pack.

    damping: share of critical. main_hz: frequency of the mode with most mass in this direction; mode_hz: all six.
    equivalent_g, rebound_equivalent_g: static accelerations along the pulse and against it. The other members are for a
    plot and worked out when asked for.
    """

    named: NamedPulse
    damping: float
    main_hz: float
    mode_hz: Array
    equivalent_g: float
    rebound_equivalent_g: float
    cautions: tuple[str, ...] = ()

    @cached_property
    def history(self) -> tuple[Array, Array, Array]:
        """Time in s, pulse in g, answer of the main mode in g (absolute acceleration)."""
        return history(self.named.pulse, self.main_hz, self.damping)

    @cached_property
    def frequency_hz(self) -> Array:
        """Frequencies of the spectrum, from 2 to 400 Hz."""
        return np.geomspace(2.0, 400.0, 70)

    @cached_property
    def spectrum_g(self) -> tuple[Array, Array]:
        """Greatest answer in g of an oscillator at each of `frequency_hz`, along the pulse and against it."""
        return spectrum(self.named.pulse, self.frequency_hz, self.damping)


def named_pulses(job: Job, folder: Path | None = None) -> tuple[NamedPulse, ...]:
    """Every pulse of the job: its own, then those of its rule set. folder: where the job file lies.

    Raises:
        PulseError: a pulse that cannot be used. LoadsError: the rule set is not listed.
    """
    crash = job.crash
    own = Source("pulse stated in the job file; not a published rule", "derived")
    entries = ((crash.pulse,) if crash.pulse is not None else ()) + crash.pulses
    found = [NamedPulse(*pulse_of(entry, crash.corridor, folder), own) for entry in entries]
    if crash.rule_set is not None:
        found += _of_rule_set(rule_set(crash.rule_set), crash.corridor)
    return tuple(found)


def _of_rule_set(rows: tuple[RuleRow, ...], curve: str) -> list[NamedPulse]:
    found = []
    for direction in DIRECTIONS:
        here = {row.kind: row for row in rows if row.direction == direction}
        if (row := here.get("half sine")) is not None:
            pulse = half_sine(row.value_g, (row.duration_ms or 0.0) / 1000.0)
            found.append(NamedPulse(_titled(pulse, row), direction, row.source, row.note))
        if "corridor lower" in here and "corridor upper" in here:
            low, high = here["corridor lower"], here["corridor upper"]
            lower, upper = (from_points(r.kind, [(t / 1000.0, g) for t, g in r.points_ms_g]) for r in (low, high))
            pulse = corridor(high.rule_set, lower, upper, curve)
            found.append(NamedPulse(pulse, direction, high.source, high.note))
    return found


def _titled(pulse: Pulse, row: RuleRow) -> Pulse:
    return Pulse(f"{row.rule_set}, {pulse.name}", pulse.points, pulse.note)


def pulse_responses(
    job: Job, pack: RigidBody, mounts: Sequence[Mount], folder: Path | None = None
) -> tuple[PulseResponse, ...]:
    """What every pulse of the job does to the pack on these mounts.

    Raises:
        PulseError, Mechanism, LoadsError: as named_pulses and modes.
    """
    pulses = named_pulses(job, folder or job.folder)
    if not pulses:
        return ()
    found = modes(mounts, pack)
    one_way = any(m.one_way is not None for m in mounts)
    return tuple(respond(named, found, pack.mass_kg, job.crash.damping, one_way) for named in pulses)


def pulse_cases(job: Job, pack: RigidBody, mounts: Sequence[Mount], folder: Path | None = None) -> tuple[LoadCase, ...]:
    """Static load cases that stand for the job's pulses: along each, and against it where it rebounds."""
    return cases_of_responses(pulse_responses(job, pack, mounts, folder))


def cases_of_responses(responses: Sequence[PulseResponse]) -> tuple[LoadCase, ...]:
    """The load cases of worked-out pulses. acceleration_g is the equivalent static one; gravity is added on top."""
    cases: list[LoadCase] = []
    for r in responses:
        name = _new_name(_title(r.named), [case.name for case in cases])
        thrown = np.array(THROWN[r.named.direction])
        note = "; ".join(("gravity added as a vector", f"main mode {r.main_hz:.1f} Hz", *r.cautions))
        cases.append(LoadCase(name, vec3(-r.equivalent_g * thrown), "pulse", r.equivalent_g, r.named.source, note))
        if r.rebound_equivalent_g > 0.05 * r.named.pulse.peak_g:
            back = r.rebound_equivalent_g
            cases.append(LoadCase(f"{name}, rebound", vec3(back * thrown), "pulse", back, r.named.source, note))
    return tuple(cases)


def _title(named: NamedPulse) -> str:
    pulse = named.pulse
    return f"pulse {named.direction}: {pulse.name}, {pulse.peak_g:g} g, {pulse.duration_s * 1000.0:g} ms"


def _new_name(name: str, taken: list[str]) -> str:
    found, number = name, 1
    while found in taken:
        number += 1
        found = f"{name} ({number})"
    return found


def respond(named: NamedPulse, found: Modes, mass_kg: float, damping: float, one_way: bool = False) -> PulseResponse:
    """Work out one pulse on modes already found."""
    thrown = np.array(THROWN[named.direction])
    axis = int(np.argmax(np.abs(thrown)))
    shares = found.effective_mass_kg[:, axis] / mass_kg
    main = float(found.frequency_hz[int(np.argmax(shares))])
    along, against = equivalent(named.pulse, found, axis, damping)
    return PulseResponse(
        named=named,
        damping=damping,
        main_hz=main,
        mode_hz=found.frequency_hz,
        equivalent_g=max(named.pulse.peak_g, along),
        rebound_equivalent_g=against,
        cautions=_cautions(named, main, one_way),
    )


def equivalent(pulse: Pulse, found: Modes, axis: int, damping: float) -> tuple[float, float]:
    """Static g along the pulse and against it, over all scales of frequency: the greatest of two measures.

    (1) The modes' greatest answers, weighted by their shares in the mass: a bound on the force of all mounts together.
    (2) The mounts' forces in time over their forces per static g: the greatest on any mount, and each mount that carries
    at least 0.3 of the greatest static force.
    """
    force = found.mount_force_n_g[:, :, :, axis]
    used = np.abs(force).max(axis=(1, 2)) > 1e-4 * np.abs(force).max()
    total = force[used].sum(axis=0)
    static = np.linalg.norm(total, axis=1)
    loaded = static >= _HELD * static.max()
    least = np.where(loaded, static, static.max())
    shares = found.effective_mass_kg[used, axis] / found.effective_mass_kg[:, axis].sum()
    along = against = 0.0
    for scale in SCALES:
        answers = _answers(pulse, found.frequency_hz[used] * scale, damping)
        up, down = _greatest(force[used], total, answers)
        along = max(along, float(shares @ answers.max(axis=1).clip(0.0)), float((up / least).max()))
        against = max(against, float(shares @ (-answers.min(axis=1)).clip(0.0)), float((down / least).max()))
    return along, against


def _answers(pulse: Pulse, frequency: Array, damping: float) -> Array:
    """Absolute acceleration in g of each mode in time, all at the same steps: (modes, times)."""
    step = time_step(pulse, float(frequency.max()), _PER_PERIOD)
    base = pulse.sampled(step, 1.5 / float(frequency.min()))[1]
    return np.array([filtered(base, float(f), damping, step) for f in frequency])


def _greatest(force: Array, total: Array, answers: Array) -> tuple[Array, Array]:
    """Greatest length of each mount's force in time, while it points along its static force, and while against it."""
    shape = force.shape[1:]
    in_time = (force.reshape(len(force), -1).T @ answers).reshape(*shape, -1)
    square = (in_time**2).sum(axis=1)
    side = (in_time * total[:, :, None]).sum(axis=1) >= 0.0
    return np.sqrt((square * side).max(axis=1)), np.sqrt((square * ~side).max(axis=1))


def _cautions(named: NamedPulse, main_hz: float, one_way: bool) -> tuple[str, ...]:
    found = [text for text in (named.note, named.pulse.note) if text]
    if main_hz < SOFT_HZ:
        found.append(f"main mode {main_hz:.1f} Hz is below {SOFT_HZ:g} Hz: travel is large, linear response is not proven")
    if one_way:
        found.append("mounts that only push: linear response is an estimate, impact across gaps is not included")
    return tuple(found)
