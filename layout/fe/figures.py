"""What a finite element run leaves behind: plain figures, light to import."""

from __future__ import annotations

from dataclasses import dataclass

from layout.frames import Vec3

UNSAFE = 1.05
"""FE above the hand figure by more than this: the hand figure is on the unsafe side."""

SMALL_USE = 0.05
"""Uses of strength below this are not worth a word."""

ASSUMED = (
    "linear elastic; every sheet, bar, angle and gusset one layer of 20-node bricks (C3D20R), from the design's own sizes",
    "bolt holes left filled, wider openings cut out; nodes joined along the welds of the weld list alone; no contact, no slip",
    "the vehicle is rigid and holds each bracket under the washer of its mount bolt, in all directions: thrust between two "
    "sides that hold each other is an upper bound, a soft or slotted vehicle takes less",
    "modules load their bars through their own bolts and do not stiffen them (one that no bar holds lies on the whole floor); "
    "the lid is bolted down, its gasket bears no load",
    "equipment hung outside whose feet are not in the job file loads all edges of its wall: what its feet do there is not seen",
    "stresses are read as structural stresses: at the surface, membrane and bending, one thickness (of the thinner part) or "
    "more from a joint's line (IIW-2259-15, from memory); nearer ones, and those under washers and bars' ends, are left out",
)


@dataclass(frozen=True)
class Row:
    """One figure by FE and by hand, each the greatest over all load cases, with the case. unit: "N" or "-" (stress over
    strength). hand: None where no hand check gives this figure. stress_mpa: of FE, where the figure is a use of strength.
    """

    what: str
    part: str
    fe: float
    fe_case: str
    hand: float | None
    hand_case: str
    unit: str
    stress_mpa: float | None = None
    note: str = ""

    @property
    def ratio(self) -> float | None:
        """FE over hand."""
        return self.fe / self.hand if self.hand else None

    @property
    def unsafe(self) -> bool:
        """Whether the hand figure lies on the unsafe side of FE by more than 5 per cent, and the figure matters."""
        if self.hand is None or (self.unit == "-" and self.fe < SMALL_USE):
            return False
        return self.fe > UNSAFE * self.hand


@dataclass(frozen=True)
class Rechecked:
    """A hand check under FE's mount forces: its use of capacity, and what it was under the hand forces (each at its worst)."""

    name: str
    part: str
    case: str
    fe_use: float
    hand_use: float

    @property
    def turns(self) -> bool:
        """Whether it holds by hand but not under FE's forces."""
        return self.fe_use > 1.0 >= self.hand_use


@dataclass(frozen=True)
class CaseAnswer:
    """FE in one load case, vehicle axes: what the pack does to each mount (by name, N), and the greatest deflection."""

    name: str
    forces_n: tuple[tuple[str, Vec3], ...]
    deflection_mm: float
    deflected_at_mm: Vec3


@dataclass(frozen=True)
class Fe:
    """A finished run. imbalance: greatest |sum of reactions - m (g - a)| over that load, of all cases.

    rechecked: hand checks that FE's mount forces use further than the hand forces do.
    """

    version: str
    nodes: int
    elements: int
    seconds: float
    mass_kg: float
    imbalance: float
    cases: tuple[CaseAnswer, ...]
    rows: tuple[Row, ...]
    rechecked: tuple[Rechecked, ...] = ()
    remedies: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ASSUMED

    @property
    def unsafe(self) -> tuple[Row, ...]:
        """Figures of which the hand figure lies on the unsafe side, the greatest excess first."""
        return tuple(sorted((r for r in self.rows if r.unsafe), key=lambda r: -(r.ratio or 0.0)))


@dataclass(frozen=True)
class NoFe:
    """Why there is no run, and the last lines the solver printed."""

    reason: str
    tail: tuple[str, ...] = ()
