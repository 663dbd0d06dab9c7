"""Files that are no sheets: the register, the phone's walk, and the proof of what was printed."""
