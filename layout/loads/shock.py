"""Response of a one-mass oscillator to a pulse, and its spectrum over frequency.

Relative motion z'' + 2 zeta w z' + w^2 z = -a; absolute acceleration z'' + a, which is what spring and damper of the
mounts pass on. Filter: ramp-invariant recursion, D. O. Smallwood, "An improved recursive formula for calculating shock
response spectra", Shock and Vibration Bulletin 51 (1981) (coefficients from memory, checked against two libraries). It is
exact for an acceleration that runs in straight lines between samples; the residual after the pulse is included.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from scipy.linalg.lapack import dtbtrs

from layout.frames import Array
from layout.loads.pulses import Pulse

PER_PERIOD: Final = 100
"""Samples per period of the oscillator: a peak between two samples is missed by at most 0.05 %."""

PER_PULSE: Final = 480
"""Samples per duration of the pulse; a number with many divisors, so that corners of pulses fall on samples."""

PER_SHORT_PULSE: Final = 60
"""The same for a pulse shorter than a tenth of the period, of which little more than its area counts."""


def time_step(pulse: Pulse, frequency_hz: float, per_period: int = PER_PERIOD) -> float:
    """Step in s that resolves both pulse and oscillator; a whole number of steps makes up the pulse."""
    periods = pulse.duration_s * frequency_hz
    least = PER_PULSE if periods > 0.1 else PER_SHORT_PULSE
    return pulse.duration_s / (least * max(int(np.ceil(periods * per_period / least - 1e-9)), 1))


def coefficients(frequency_hz: float, damping: float, step_s: float) -> tuple[Array, Array]:
    """Numerator b and denominator a of the filter from base acceleration to absolute acceleration."""
    w = 2.0 * np.pi * frequency_hz
    damped = w * np.sqrt(1.0 - damping**2) * step_s
    decay = np.exp(-damping * w * step_s)
    c, s = decay * np.cos(damped), decay * np.sin(damped)
    s_share = s / damped
    return np.array([1.0 - s_share, 2.0 * (s_share - c), decay**2 - s_share]), np.array([1.0, -2.0 * c, decay**2])


def history(pulse: Pulse, frequency_hz: float, damping: float, step_s: float | None = None) -> tuple[Array, Array, Array]:
    """Time (s), acceleration of the pulse (g) and absolute acceleration of the oscillator (g).

    It runs until a period and a half after the end of the pulse: the greatest swing after it lies within one.
    """
    step = step_s if step_s is not None else time_step(pulse, frequency_hz)
    time, base = pulse.sampled(step, 1.5 / frequency_hz)
    return time, base, filtered(base, frequency_hz, damping, step)


def filtered(base: Array, frequency_hz: float, damping: float, step_s: float) -> Array:
    """Absolute acceleration of an oscillator at rest under base acceleration at even steps.

    The recursion a * y = b * x is a lower triangular band of three; LAPACK's forward substitution solves it (a general
    filter routine does the same, but takes longer to import than the whole study to run).
    """
    b, a = coefficients(frequency_hz, damping, step_s)
    right = np.convolve(b, base)[: len(base)]
    band = np.repeat(a[:, None], len(base), axis=1)
    answer, info = dtbtrs(band, right[:, None], uplo="L")
    if info != 0:
        raise ArithmeticError(f"the filter's band could not be solved (LAPACK dtbtrs: {info})")
    return np.asarray(answer[:, 0], dtype=float)


def spectrum(pulse: Pulse, frequency_hz: Array, damping: float) -> tuple[Array, Array]:
    """Greatest absolute acceleration in g along the pulse and against it, per frequency: two arrays of its shape.

    Both are zero or above. For stiff oscillators the first tends to the peak of the pulse.
    """
    frequencies = np.asarray(frequency_hz, dtype=float)
    along, against = np.zeros(frequencies.size), np.zeros(frequencies.size)
    for i, f in enumerate(frequencies.ravel()):
        response = history(pulse, float(f), damping)[2]
        along[i], against[i] = max(response.max(), 0.0), max(-response.min(), 0.0)
    return along.reshape(frequencies.shape), against.reshape(frequencies.shape)


def miles_grms(frequency_hz: float, quality: float, psd_g2_hz: float) -> float:
    """Root mean square acceleration in g of an oscillator under flat random vibration: sqrt(pi/2 f Q G).

    J. W. Miles (1954), as printed by NASA GSFC's finite element notes (formula seen). Holds for one dominant mode, light
    damping and a level flat over an octave on both sides.
    """
    return float(np.sqrt(np.pi / 2.0 * frequency_hz * quality * psd_g2_hz))
