"""The command line: one file a command, with its options, the lines that it prints, and its exit code.

A command calls the workflow of its own name and gives its result to `options.end`. Everything heavy is
imported inside the functions, so that `--help` and a mistyped option answer at once.
"""
