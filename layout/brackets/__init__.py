"""From the box to the holes the vehicle already has."""
