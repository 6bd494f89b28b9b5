"""Solids from the numbers of `layout`. Invents no dimension; measures what it made."""
