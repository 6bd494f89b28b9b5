"""Numbers only: from a job file to a complete, checked design. Never imports a CAD kernel.

errors      what can go wrong, as types            frames     axes, poses, extents
units       text with units -> mm, kg, N ...       job        the job file: models, places, physical sense
tables      rows of standards, each with a source  space      the bay as it is: prisms, keep-outs, scans; the judge
packing     the search for arrangements            design     types of parts: plates, folds, welds, fasteners
box         the box around the modules             brackets   from the box to the vehicle's own holes
balance     mass list, centroid, axle loads        loads      cases, pulses, sharing among the mounts
checks      demand against capacity, with source   study      all of the above for one arrangement, complete
"""
