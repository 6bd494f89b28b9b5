"""Mass and balance: mass list, axle loads, load states, springs, what-if, scale readings, and the pack's other figures.

bodies, items     bodies to cut, mass items, totals      axles, states   axle loads, load states, corners, yaw inertia
on_the_bench      parts weighed by themselves            springs         ride height and frequency
weighed, scales, suspects   the vehicle on scales        lifting         centroid height from a lifted axle
whatif, names     moves, gradients, place for a split    electrical, runs   voltages, links, cables, hoses, heat
problems          contradictions in the job              figures         all of it in one value
"""

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
