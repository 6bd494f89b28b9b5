"""The pack in three dimensions: one page that works without a network, and a picture drawn without a screen."""

from __future__ import annotations

from outputs.view.page import read_view, view_policy, write_view

__all__ = ["read_view", "view_policy", "write_view"]
