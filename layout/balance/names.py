"""Which items of the mass list a user means by a name."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from layout.balance.items import MassItem
from layout.errors import JobError, Problem

WHOLE_PACK = "pack"
"""Name that stands for everything the mounts carry."""


def named(items: Sequence[MassItem], name: str, path: str = "move") -> tuple[int, ...]:
    """Places in the list of what bears a name: an item's full name, its number or id (whole words at the start: "M1" for
    "M1 (slab)"), or "pack" for all of the pack. Case does not matter.

    Raises JobError at `path`, with the nearest names, where nothing bears it.
    """
    wanted = name.strip().casefold()
    texts = [i.name.casefold() for i in items]
    ways = (
        [k for k, text in enumerate(texts) if text == wanted],
        [k for k, item in enumerate(items) if wanted == WHOLE_PACK and item.group == "pack"],
        [k for k, text in enumerate(texts) if text.startswith(f"{wanted} ")],
    )
    for found in ways:
        if found:
            return tuple(found)
    known = list(dict.fromkeys(i.name for i in items))
    lower = {n.casefold(): n for n in known}
    near = [lower[n] for n in difflib.get_close_matches(wanted, list(lower), n=3, cutoff=0.5)]
    shown = ", ".join(near) if near else ", ".join(known[:12])
    raise JobError(
        [Problem(path, name, f'the name of an item of the mass list, or "{WHOLE_PACK}"', f"Nearest names: {shown}.")]
    )
