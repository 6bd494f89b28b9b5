"""The cautions that go with every result, in plain words."""

from __future__ import annotations

CAUTIONS = (
    "High voltage: a pack can kill at rest. Work insulated, one hand, never alone; isolate, lock, and measure dead first.",
    "Fire and vent gas: a damaged or overheated cell vents flammable, poisonous gas. Keep vents away from the cabin and "
    "have a plan for a burning pack.",
    "A pack coming loose in a crash kills. These figures are predictions from the job file: wrong inputs make wrong results.",
    "Hot work: no welding, cutting or grinding on box or brackets with modules near them.",
    "Lifting: a pack is heavier than it looks. Lift it only at points made and proved for it, nobody underneath.",
    "What was checked is listed with its margin; what is not listed was not checked. Local codes and a licensed engineer "
    "decide.",
)
"""High voltage, fire, loss of restraint, hot work, lifting, limits of the calculation."""
