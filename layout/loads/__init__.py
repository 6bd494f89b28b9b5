"""Loads on the pack and how they are shared: load cases, crash pulses, the pack as a rigid body on its mounts."""
