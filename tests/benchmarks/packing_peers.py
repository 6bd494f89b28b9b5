# ruff: noqa: E402
"""The packing engine beside other ways to the same count: one run, one machine, equal seconds.

Run from the top folder: python tests/benchmarks/packing_peers.py [seconds] [path of the interpreter that has the peers]
Peers, installed only for this and not dependencies of the project: packvium 1.8.0 (MIT), py3dbp 1.1.2 (MIT), rectpack 0.2.2
(Apache-2.0), packingsolver3d 0.0.5 (MIT). Each of these runs in a process of its own (packing_peer_process.py), ended ten
seconds after its limit: one of them can end the interpreter. Also: plain CP-SAT (one labelled box of integer coordinates
for each that the volume allows, pairwise apart) and CP-SAT on normal positions (the engine's clash rows without its
reduction), one worker each, as the engine's two solvers use one each. Missing peers are shown as "-", those that cannot
state the question as "n/a", those that had not ended as "time".
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]

import packing_sets as sets

PEERS = ("packvium", "py3dbp", "rectpack", "packingsolver3d")
PROCESS = Path(__file__).with_name("packing_peer_process.py")
START_SECONDS = 10.0


def plain(question: sets.Question, seconds: float) -> tuple[int, bool]:
    from ortools.sat.python import cp_model

    _, region, items = question
    model = cp_model.CpModel()
    boxes = []
    for item in items:
        for _ in range(item.most):
            here = model.new_bool_var("")
            turns = [model.new_bool_var("") for _ in item.options]
            model.add(sum(turns) == here)
            at = [model.new_int_var(0, region.size[k], "") for k in range(3)]
            end = [model.new_int_var(0, region.size[k], "") for k in range(3)]
            for turn, option in zip(turns, item.options, strict=True):
                for k in range(3):
                    model.add(end[k] == at[k] + option.size[k]).only_enforce_if(turn)
            boxes.append((here, at, end))
    for n, (here, at, end) in enumerate(boxes):
        for other, low, high in boxes[:n]:
            sides = [model.new_bool_var("") for _ in range(6)]
            for k in range(3):
                model.add(end[k] <= low[k]).only_enforce_if(sides[2 * k])
                model.add(high[k] <= at[k]).only_enforce_if(sides[2 * k + 1])
            model.add_bool_or([*sides, here.negated(), other.negated()])
        for wall in region.blocked:
            sides = [model.new_bool_var("") for _ in range(6)]
            for k in range(3):
                model.add(end[k] <= wall[k]).only_enforce_if(sides[2 * k])
                model.add(at[k] >= wall[k + 3]).only_enforce_if(sides[2 * k + 1])
            model.add_bool_or([*sides, here.negated()])
    model.maximize(sum(b[0] for b in boxes))
    return _solved(model, seconds)


def normal(question: sets.Question, seconds: float) -> tuple[int, bool]:
    from ortools.sat.python import cp_model

    from layout.packing.engine.candidates import candidates_at
    from layout.packing.engine.cpsat import cpsat_model
    from layout.packing.engine.model_ip import set_packing
    from layout.packing.engine.space import space_of
    from layout.packing.engine.starts import start_sets

    _, region, items = question
    space = space_of(region)
    candidates = candidates_at(space, items, start_sets(space, items, ("low", "low", "low")))
    if len(candidates) > 30_000:
        return 0, False
    model, variables = cpsat_model(set_packing(items, candidates, space.volume), None)
    model.maximize(cp_model.LinearExpr.sum(variables))
    return _solved(model, seconds)


def _solved(model: object, seconds: float) -> tuple[int, bool]:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return (round(solver.objective_value) if found else 0), status == cp_model.OPTIMAL


def engine(question: sets.Question, seconds: float) -> tuple[int, bool, list[tuple[float, int]]]:
    from layout.packing.engine import pack_most, verify

    seen: list[tuple[float, int]] = []
    began = time.perf_counter()
    found = pack_most(
        question[1], question[2], seconds=seconds, progress=lambda v, b: seen.append((time.perf_counter() - began, v))
    )
    if verify(question[1], question[2], found):
        raise SystemExit(f"{question[0]}: the judge refuses the engine's layout")
    return found.value, found.proven, seen


def limited(question: sets.Question) -> sets.Question:
    """No more of each item than the volume allows: the peers slow down with the number of boxes offered."""
    from dataclasses import replace

    from layout.packing.engine.bounds import volume_bound
    from layout.packing.engine.space import space_of

    name, region, items = question
    volume = space_of(region).volume
    return name, region, tuple(replace(i, most=min(i.most, volume_bound((replace(i, most=10**6),), volume))) for i in items)


def other(name: str, question: sets.Question, seconds: float, python: str) -> str:
    """A peer's count, from a process of its own."""
    asked = {
        "size": question[1].size,
        "blocked": question[1].blocked,
        "items": [[[list(o.size) for o in item.options], item.most] for item in question[2]],
    }
    command = [python, str(PROCESS), name, str(seconds)]
    try:
        text, until = json.dumps(asked), seconds + START_SECONDS
        done = subprocess.run(command, input=text, capture_output=True, text=True, timeout=until, check=False)
    except subprocess.TimeoutExpired:
        return "time"
    if done.returncode:
        return "-" if "ModuleNotFoundError" in done.stderr else f"died {done.returncode}"
    answer = json.loads(done.stdout.strip().splitlines()[-1])
    return "n/a" if answer is None else str(answer)


def questions() -> list[sets.Question]:
    flat = [sets.pallet(*sides) for sides in ((43, 26, 7, 3), (49, 28, 8, 3), (61, 38, 6, 5), (86, 52, 9, 5), (40, 26, 7, 4))]
    deep = [sets.solid(c) for c in sets.cases("ident3d.json") if c["id"] in ("hoffman_15_456", "b7_124", "bay_b", "bay_e")]
    odd = [sets.solid(c) for c in sets.cases("irregular.json") if c["id"] != "zone_small"]
    return [limited(q) for q in [*flat, *deep, *odd]]


def compare(seconds: float, python: str) -> list[str]:
    columns = ["engine", "plain cp-sat", "normal cp-sat", *PEERS, "plain / engine to plain's count"]
    print(lines := f"{'question':22s}" + "".join(f"{c:>17s}" for c in columns), flush=True)
    kept, ratios, speed, behind = [lines], [], [], []
    for question in questions():
        began = time.perf_counter()
        count, proven, seen = engine(question, seconds)
        took = time.perf_counter() - began
        began = time.perf_counter()
        plain_count, plain_proven = plain(question, seconds)
        plain_took = time.perf_counter() - began
        began = time.perf_counter()
        normal_count, normal_proven = normal(question, seconds)
        normal_took = time.perf_counter() - began
        others = {name: other(name, question, seconds, python) for name in PEERS}
        equal = next((t for t, v in seen if v >= plain_count), took)
        ratios.append(plain_took / equal)
        if proven:
            speed.append(normal_took / took)
        best_other = max([plain_count, normal_count, *(int(v) for v in others.values() if v.isdigit())])
        behind += [question[0]] if count < best_other else []
        cells = [
            f"{count}{' P' if proven else ''} {took:.1f}s",
            f"{plain_count}{' P' if plain_proven else ''} {plain_took:.1f}s",
            f"{normal_count}{' P' if normal_proven else ''} {normal_took:.1f}s",
            *others.values(),
            f"{ratios[-1]:.0f}x",
        ]
        kept.append(f"{question[0]:22s}" + "".join(f"{c:>17s}" for c in cells))
        print(kept[-1], flush=True)
    kept.append(f"fewer than some peer: {', '.join(behind) or 'nowhere'}")
    kept.append(f"seconds of plain CP-SAT over the engine's to plain's own count: median {statistics.median(ratios):.0f}x")
    ratio = f"median {statistics.median(speed):.1f}x" if speed else "no proof"
    kept.append(f"seconds of normal-position CP-SAT over the engine's to proof (or the limit): {ratio}")
    print("\n".join(kept[-3:]), flush=True)
    return kept


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 8.0
    kept = compare(seconds, sys.argv[2] if len(sys.argv) > 2 else sys.executable)
    sets.RESULTS.mkdir(exist_ok=True)
    (sets.RESULTS / "packing_peers.txt").write_text("\n".join(kept) + "\n")


if __name__ == "__main__":
    main()
