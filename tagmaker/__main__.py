"""`python -m tagmaker`: the same program as the command `tagmaker`."""

from tagmaker.cli.begin import run

run()
