"""Fitting modules and equipment into a box that fits the bay, and choosing among the ways to do it.

search.py      the whole: job and bay in, ranked arrangements out
sites.py       where the box may stand: frames of the pack, largest insides, pockets for what hangs on a face (hung.py)
bodies.py      what must be packed, and the ways each body may stand
starts.py, places.py   places worth trying along one axis; all places in a room and which exclude which
greedy.py      a first answer at once
goal.py, solve.py      the question for the best places, and its answer wish after wish (CP-SAT)
count.py, exact.py     how many fit: greedy rounds, then exact search (with engine/, the packing engine)
ceiling.py     how many could fit at most, in any box in the bay
slide.py, linear.py    bodies moved by a linear programme, the box closed in
build.py       spots -> arrangement; series.py: order of connection
costs.py, scores.py   figures and ranking; aims.py, varied.py, choices.py   drafts of different arrangements; listed.py
               those that are listed
equipment_fit.py       judge of the equipment's places (the judge of fit in layout.space judges the rest)
"""
