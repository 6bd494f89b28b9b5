"""Two or three boxes in one bay: the bay cut in pieces, one box in each, each designed by the same rules as a single one.

jobs        what of the job belongs to one box            regions     pieces of the bay, and the mount points in them
counting    how many modules a box holds in a piece       cuts        where the bay is cut: plans, and the bound over all cuts
splits      shares of a number of modules                 pieces      arrangements of each box in its piece
pairing     which of these go together, before the judge  scores      what they are worth together
search      from job and bay to ranked arrangements       model       an arrangement in several boxes
wiring      strings through all boxes                     cables      from box to box
apart       the other boxes as obstacles                  ways        in which order the boxes go in
neighbours  what a box's job and sheets say of the others
evaluate    every box designed and checked                study       the boxes as one pack
"""
