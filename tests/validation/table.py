"""Prints the validation table: source, published, ours, difference, for every row of tests/data/*/*.json that is a published
example.

    python tests/validation/table.py [part of a path]

A row of a data file: {id, method, inputs, expected: {name: number or list}, tolerance (relative), source, evidence, note,
and where the publication is wrong: wrong_published: {name: number}}. `expected` is then the right figure. Each
tests/validation/evaluators_*.py holds EVALUATORS: {method: function(inputs) -> {name: number or list}}.
"""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
KEYS = {"id", "method", "inputs", "expected", "tolerance", "source", "evidence"}


def evaluators():
    """All evaluators of all evaluators_*.py beside this file; a method named twice is an error."""
    found = {}
    for path in sorted(HERE.glob("evaluators_*.py")):
        spec = importlib.util.spec_from_file_location(f"validation_{path.stem}", path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        twice = set(found) & set(module.EVALUATORS)
        if twice:
            raise ValueError(f"{path.name}: methods named twice: {sorted(twice)}")
        found.update(module.EVALUATORS)
    return found


def data_rows(part=""):
    """All rows of published examples in the data files, as (file name, row)."""
    found = []
    for path in sorted((HERE.parent / "data").glob("*/*.json")):
        if part not in str(path):
            continue
        rows = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(rows, list):
            found += [(f"{path.parent.name}/{path.name}", r) for r in rows if isinstance(r, dict) and set(r) >= KEYS]
    return found


def compared(row, ours):
    """Pairs (name, expected, ours, relative difference) of a row, lists taken apart."""
    pairs = []
    for name, wanted in row["expected"].items():
        many = isinstance(wanted, list)
        for k, (w, o) in enumerate(zip(wanted if many else [wanted], ours[name] if many else [ours[name]], strict=True)):
            pairs.append((f"{name}[{k}]" if many else name, w, o, abs(o - w) / abs(w) if w else abs(o)))
    return pairs


def say(text):
    """One line on standard output."""
    sys.stdout.write(text + "\n")


def main(part=""):
    methods = evaluators()
    rows = data_rows(part)
    worst, missing = 0, []
    say(f"{'example':<18} {'figure':<18} {'published':>12} {'ours':>12} {'diff':>8} {'allowed':>8}  evidence  source")
    for _, row in rows:
        if row["method"] not in methods:
            missing.append(row["method"])
            continue
        ours = methods[row["method"]](row["inputs"])
        for name, wanted, got, off in compared(row, ours):
            published = row.get("wrong_published", {}).get(name)
            shown = wanted if published is None else published
            flag = "" if off <= row["tolerance"] else "  OUTSIDE"
            if published is not None:
                off = abs(got - published) / abs(published)
                flag = f"  (published is wrong; right: {wanted:g})"
            worst += flag == "  OUTSIDE"
            say(
                f"{row['id']:<18} {name:<18} {shown:>12.5g} {got:>12.5g} {100 * off:>7.2f}% {100 * row['tolerance']:>7.2f}%  "
                f"{row['evidence']:<9} {row['source']}{flag}"
            )
    say(f"{len(rows)} examples, {worst} figures outside their tolerance")
    for method in sorted(set(missing)):
        say(f"no evaluator for {method!r}")
    return 1 if worst or missing else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
