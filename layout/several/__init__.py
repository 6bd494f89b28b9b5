"""Two or three boxes in one bay: the bay cut in pieces, one box in each, each designed by the same rules as a single one.

jobs      what of the job belongs to one box         cuts      where the bay is cut, and how many modules that gives
search    from job and bay to ranked arrangements    apart     the boxes held against one another
wiring    strings through the boxes, cables between  ways      in which order the boxes go in
study     every box evaluated, and the pack of them
"""
