"""Formulas of the rules as mathematics for the page: with symbols, and with numbers put in."""

from __future__ import annotations

import ast
from collections.abc import Mapping

_GREEK = {
    "alpha", "beta", "gamma", "delta", "epsilon", "eta", "theta", "kappa", "lambda", "mu", "nu", "xi", "rho", "sigma", "tau",
    "phi", "chi", "psi", "omega", "Delta", "Sigma", "Omega", "pi",
}  # fmt: skip
_RANK = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 3, ast.Pow: 4}


def symbol(name: str) -> str:
    """A symbol: "alpha_v" -> Greek letter with an upright index."""
    head, _, index = name.partition("_")
    letter = head if head in _GREEK or len(head) == 1 else f'"{head}"'
    return f'{letter}_"{index.replace("_", ",")}"' if index else letter


def figure(value: float) -> str:
    """A number in four significant figures, plain where that is readable."""
    if value != value or value in (float("inf"), float("-inf")):
        return "infinity" if value > 0 else '"none"'
    if value == 0.0 or 1e-3 <= abs(value) < 1e6:
        text = f"{value:.4g}"
        return f"{value:.0f}" if "e" in text else text
    mantissa, exponent = f"{value:.3e}".split("e")
    return f"{mantissa} dot 10^({int(exponent)})"


def mathematics(expression: str, values: Mapping[str, float] | None = None) -> str:
    """Typst mathematics of an arithmetic expression; with `values`, numbers stand where symbols stood."""
    return _set(ast.parse(expression, mode="eval").body, values)


def _set(node: ast.expr, values: Mapping[str, float] | None) -> str:
    if isinstance(node, ast.BinOp):
        return _binary(node, values)
    if isinstance(node, ast.UnaryOp):
        return f"-{_wrapped(node.operand, values, 2)}"
    if isinstance(node, ast.Call):
        assert isinstance(node.func, ast.Name)
        inner = ", ".join(_set(a, values) for a in node.args)
        if node.func.id == "sqrt":
            return f"sqrt({inner})"
        if node.func.id == "abs":
            return f"lr(| {inner} |)"
        return f'op("{node.func.id}") ({inner})'
    if isinstance(node, ast.Name):
        if node.id == "g_0":
            return "g_0"
        if values is not None and node.id in values:
            text = figure(values[node.id])
            return f"({text})" if values[node.id] < 0 else text
        return symbol(node.id)
    assert isinstance(node, ast.Constant)
    return figure(float(node.value)) if isinstance(node.value, (int, float)) else str(node.value)


def _binary(node: ast.BinOp, values: Mapping[str, float] | None) -> str:
    if isinstance(node.op, ast.Div):
        return f"({_set(node.left, values)}) / ({_set(node.right, values)})"
    if isinstance(node.op, ast.Pow):
        return f"{_wrapped(node.left, values, 5)}^({_set(node.right, values)})"
    sign = {ast.Add: "+", ast.Sub: "-", ast.Mult: "dot"}[type(node.op)]
    rank = _RANK[type(node.op)]
    right = _wrapped(node.right, values, rank + (1 if isinstance(node.op, ast.Sub) else 0))
    return f"{_wrapped(node.left, values, rank)} {sign} {right}"


def _wrapped(node: ast.expr, values: Mapping[str, float] | None, rank: int) -> str:
    text = _set(node, values)
    if isinstance(node, ast.BinOp) and not isinstance(node.op, ast.Div) and _RANK[type(node.op)] < rank:
        return f"lr(({text}))"
    return f"lr(({text}))" if rank == 5 and isinstance(node, ast.BinOp) else text
