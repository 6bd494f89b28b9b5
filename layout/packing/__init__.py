"""Fitting modules and equipment into a box that fits the bay, and choosing among the ways to do it."""
