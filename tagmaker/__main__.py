"""`python -m tagmaker`: the same program as the command `tagmaker`."""

from tagmaker.cli.begin import run

if __name__ == "__main__":  # a work of the desk runs in a process that loads this module again
    run()
