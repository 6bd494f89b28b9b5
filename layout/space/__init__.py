"""Free space of the bay as it is, and the judge of fit.

bay.py         the bay as a value: walls, keep-outs, scan, mount columns
solids.py      triangles of prisms, tapered prisms, boxes and bars; the boundary of a union
triangles.py   exact distance between a box and triangles
round_bar.py   exact distance between a box and a round bar
judge.py       is a body, or a whole arrangement, clear of everything? Simple, and independent of the search
grid.py        cells that are surely free, and cells that may be free; columns.py: round bars along an axis, exactly
free_boxes.py  where a box with its shell can lie: inner and outer answers for the search
scan.py        a scan of the surroundings: reading, trouble, marking cells
insertion.py   the way from outside to the place; removal.py, access.py: modules out, hands in
"""
