"""Every touch of the disk: plain reading, whole writing, locks, output folders, TOML with its lines."""
