"""One peer, one question, in a process of its own: packing_peers.py starts it.

python packing_peer_process.py PEER SECONDS < question.json; prints the count, or null where the peer cannot state it.
Layouts of peers are not judged, only counted.
"""

from __future__ import annotations

import itertools
import json
import sys
from collections.abc import Callable


def peer_packvium(q: dict, seconds: float) -> int:
    from packvium import AxisAlignedBox, Container, Dimensions, Item, Obstacle, Packer, PackingConfig, Point, Rotation

    def millimetres(size: list[int]) -> Dimensions:
        return Dimensions.mm(*map(str, size))

    unit = millimetres([1, 1, 1]).length.ticks
    obstacles = tuple(
        Obstacle(str(n), AxisAlignedBox(Point(*(v * unit for v in b[:3])), millimetres([b[k + 3] - b[k] for k in range(3)])))
        for n, b in enumerate(q["blocked"])
    )
    items = []
    for n, (sizes, most) in enumerate(q["items"]):
        base = sizes[0]
        turns = {tuple(base["LWH".index(axis)] for axis in r.value): r for r in Rotation}
        allowed = tuple(turns[tuple(s)] for s in sizes)
        items.append(Item.create(str(n), millimetres(base), quantity=most, allowed_rotations=allowed))
    bay = Container.create("bay", millimetres(q["size"]), quantity=1, obstacles=obstacles)
    config = PackingConfig.balanced(time_limit_ms=int(seconds * 1000), max_containers=1)
    return int(Packer(config).pack(items=items, containers=[bay]).packed_item_count)


def peer_py3dbp(q: dict, seconds: float) -> int | None:
    from py3dbp import Bin, Item, Packer

    if q["blocked"] or len(q["items"]) != 1 or len(q["items"][0][0]) != len(set(_turns(q["items"][0][0][0]))):
        return None
    packer = Packer()
    packer.add_bin(Bin("bay", *q["size"], 10**9))
    for n in range(q["items"][0][1]):
        packer.add_item(Item(str(n), *q["items"][0][0][0], 1))
    packer.pack()
    return len(packer.bins[0].items)


def peer_rectpack(q: dict, seconds: float) -> int | None:
    import rectpack

    if q["blocked"] or q["size"][2] != 1 or len(q["items"]) != 1:
        return None
    best = 0
    for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBl, rectpack.SkylineMwfl, rectpack.GuillotineBssfSas):
        packer = rectpack.newPacker(rotation=True, pack_algo=algorithm)
        packer.add_bin(*q["size"][:2])
        for _ in range(q["items"][0][1]):
            packer.add_rect(*q["items"][0][0][0][:2])
        packer.pack()
        best = max(best, len(packer.rect_list()))
    return best


def peer_packingsolver3d(q: dict, seconds: float) -> int | None:
    import packingsolver3d as solver

    if q["blocked"]:
        return None
    kinds = []
    for sizes, most in q["items"]:
        base = sizes[0]
        turns = {tuple(base["XYZ".index(axis)] for axis in r.value): r for r in solver.Rotation}
        kinds.append(solver.ItemType(*base, profit=1.0, copies=most, rotations=[turns[tuple(s)] for s in sizes]))
    bins = [solver.BinType(*q["size"], copies=1)]
    found = solver.box.solve(solver.Instance(bins, kinds, solver.Objective.KNAPSACK), time_limit=seconds)
    return round(found.value or 0)


def _turns(size: list[int]) -> list[tuple[int, ...]]:
    return list(itertools.permutations(size))


PEERS: dict[str, Callable[[dict, float], int | None]] = {
    "packvium": peer_packvium,
    "py3dbp": peer_py3dbp,
    "rectpack": peer_rectpack,
    "packingsolver3d": peer_packingsolver3d,
}


if __name__ == "__main__":
    print(json.dumps(PEERS[sys.argv[1]](json.load(sys.stdin), float(sys.argv[2]))))
