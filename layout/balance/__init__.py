"""Mass and balance: mass list, axle loads, load states, springs, what-if, scale readings, and the pack's other figures."""

from layout.balance.axles import AxleLoads, Balance, Margins, Standing, axle_loads
from layout.balance.bodies import Body, Piece
from layout.balance.items import Ahead, MassItem, MassProperties, ahead_of_axle, total

__all__ = [
    "Ahead",
    "AxleLoads",
    "Balance",
    "Body",
    "Margins",
    "MassItem",
    "MassProperties",
    "Piece",
    "Standing",
    "ahead_of_axle",
    "axle_loads",
    "total",
]
