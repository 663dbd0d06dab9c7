"""Every touch of the disk: plain reading, whole writing, locks, output folders, TOML with its lines.

A test on the syntax trees of all modules refuses any other place that opens, writes or lists files.
"""
