"""What holds a machine together, from the blade's root to the ground: loads, beams, bolts, fatigue."""
