"""Finite elements of box and brackets with CalculiX, where it is installed: an optional second opinion beside the hand figures.

Every sheet, bar, angle and gusset is meshed from its own profile, thickness and pose with bricks of twenty nodes and reduced
integration (C3D20R), one layer through its thickness: the very element into which CalculiX itself turns its eight-node
shell S8R. Laying the layer ourselves puts each joint where the weld is, instead of into the rigid knots that CalculiX makes
wherever shells meet. Where the nodes of two parts do not lie in the same places (gussets of different reach, leaned bends,
saddles, standoffs) those of one are tied to the faces of the other along the weld.
"""
