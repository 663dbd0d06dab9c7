"""`python -m tagmaker`: the same program as the command `tagmaker`."""

from tagmaker.cli.app import run

run()
