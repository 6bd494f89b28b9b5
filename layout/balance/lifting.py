"""Height of the centroid from one axle lifted on the scales, suspension locked.

Moments about the low axle's wheel centre: h = r + L dW / (W tan(angle)), dW what the low axle gains (equal to what the
lifted one loses). It is h = r + (b - L W_f'/W) / tan(angle) of vehicle dynamics texts (derivation seen in a public course
text) with b = L W_f/W. The common short form without the cosine overstates by 1/cos(angle).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.balance.axles import AxleLoads
from layout.job.vehicle import Lifted, Vehicle

LEAST_ANGLE_DEG = 10.0
"""Below this the reading errors outweigh the effect (common practice, no source)."""


@dataclass(frozen=True)
class CentroidHeight:
    """height_mm from the lift; sigma_mm from the scale's tolerance alone; predicted_mm from the mass list."""

    height_mm: float
    sigma_mm: float
    predicted_mm: float
    findings: tuple[str, ...]


def lifted_height_mm(wheelbase_mm: float, mass_kg: float, gained_kg: float, radius_mm: float, angle_deg: float) -> float:
    """Centroid height from what the low axle gains when the other end is lifted by angle_deg (negative: it loses).

    mass_kg: of the whole vehicle; radius_mm: height of the wheel centres above their ground. Raises ValueError for an angle
    outside 0 to 90 degrees.
    """
    if not 0.0 < angle_deg < 90.0:
        msg = f"angle {angle_deg:g} deg: must lie between 0 and 90 degrees"
        raise ValueError(msg)
    return radius_mm + wheelbase_mm * gained_kg / mass_kg / math.tan(math.radians(angle_deg))


def measured_height(
    vehicle: Vehicle, lifted: Lifted, weighed: AxleLoads, tolerance_kg: float, predicted_mm: float
) -> CentroidHeight:
    """Centroid height of the vehicle as weighed, with its uncertainty, against the prediction.

    weighed: axle loads of the same vehicle level. tolerance_kg: one standard deviation of a reading.
    """
    level = weighed.front_kg if lifted.scale_axle == "front" else weighed.rear_kg
    gained = lifted.scale_load_kg - level if lifted.scale_axle != lifted.lifted_axle else level - lifted.scale_load_kg
    length, mass = vehicle.wheelbase_mm, weighed.total_kg
    height = lifted_height_mm(length, mass, gained, lifted.loaded_radius_mm, lifted.angle_deg)
    sigma = length / mass * math.sqrt(2.0) * tolerance_kg / math.tan(math.radians(lifted.angle_deg))
    findings = []
    if lifted.angle_deg < LEAST_ANGLE_DEG:
        findings.append(
            f"lifted by {lifted.angle_deg:.1f} deg only: below {LEAST_ANGLE_DEG:.0f} deg the height is poorly known"
        )
    if gained <= 0.0:
        findings.append(
            f"the low axle gained {gained:.1f} kg: it gains load unless the centroid lies below the wheel centres; "
            "see that lifted_axle and scale_axle are not exchanged"
        )
    return CentroidHeight(height, sigma, predicted_mm, tuple(findings))
