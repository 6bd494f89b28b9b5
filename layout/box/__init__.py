"""The box around the modules: its shell for the search, and its parts for the fabricator."""

from layout.box.shell import Shell, shell_of

__all__ = ["Shell", "shell_of"]
