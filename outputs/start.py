"""Entry of the command `boxwright`: first make sure that its three packages are its own."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path


def package_parents() -> dict[str, Path | None]:
    """Folder that each of the three packages would be imported from; None where it cannot be found."""
    parents: dict[str, Path | None] = {}
    for name in ("layout", "shapes", "outputs"):
        spec = importlib.util.find_spec(name)
        origin = spec.origin if spec else None
        parents[name] = Path(origin).resolve().parent.parent if origin else None
    return parents


def main() -> None:
    """Run the command line; exit status as its commands say, 70 where another distribution shadows a package.

    130 where Ctrl-C ends it before there is a result.
    """
    parents = package_parents()
    if len(set(parents.values())) != 1:
        places = ", ".join(f"{name} from {place or 'nowhere'}" for name, place in parents.items())
        sys.stderr.write(
            "boxwright: its packages layout, shapes and outputs do not lie together "
            f"({places}). Another distribution installs a package of one of these names: "
            "install boxwright in an environment of its own.\n"
        )
        sys.exit(70)
    try:
        from outputs.cli.commands import run

        status = run()
    except KeyboardInterrupt:
        sys.stderr.write("boxwright: stopped\n")
        status = 130
    sys.exit(status)
