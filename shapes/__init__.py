"""Solids from the numbers of layout.design, by faces and prisms of the CAD kernel; no dimension is invented here.

build       plates, folded plates, blocks        hardware    bolts, washers, nuts
assembly    a tree of named, shared solids       colours     the palette by group
measure     volume, centroid, validity           openings    holes and slots found on solids
examine     overlaps, bolts in line, folds that run through themselves
"""
