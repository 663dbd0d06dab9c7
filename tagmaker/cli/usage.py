"""The program's commands, each loaded when it is called, and wrong usage: exit code 2."""

import contextlib
import re
import sys
from collections.abc import Sequence
from functools import partial
from typing import Any

import typer
from typer.core import TyperGroup

from tagmaker.cli.commands import loaded, named
from tagmaker.cli.printing import NotPrinted, print_lines
from tagmaker.cli.values import take_plain_values

__all__ = ["Program"]

BELOW_ZERO = re.compile(r"-(?=[\d.]+ *(?:(?:°|deg)? *[FC]|psi|bar|kPa|MPa)$)", re.ASCII | re.IGNORECASE)
"""The minus of a temperature or a pressure, which would be taken for an option's."""
ADDRESS = re.compile(r"\d+(?:\.\d+)+", re.ASCII)
"""What may follow --phones: an address; any other word is none of its own."""


class Program(TyperGroup):
    """The commands as one program, with its own answers to wrong usage."""

    def __init__(self, *, commands: object = None, **settings: Any) -> None:  # noqa: ARG002 — it knows its own
        super().__init__(commands=named(), **settings)

    def get_params(self, ctx: Any) -> list[Any]:
        """The program's own options, which take plain values by themselves."""
        return take_plain_values(super().get_params(ctx))

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command that was called, loaded."""
        name, command, rest = super().resolve_command(ctx, args)
        return name, loaded(name) if name else command, rest

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command and exit; called with `standalone_mode=False`, exceptions are the caller's."""
        words = [BELOW_ZERO.sub("−", word) for word in (sys.argv[1:] if args is None else args)]
        words = _with_defaults(words)
        run = partial(
            super().main, words, prog_name, complete_var, False, windows_expand_args, **extra
        )  # fmt: skip
        if not standalone_mode:
            return run()
        try:
            code = run()
        except SystemExit as ended:  # typer takes a reader that closes early (`--help | head`) for an error
            code = 0 if isinstance(ended.__context__, BrokenPipeError) else ended.code
        except typer.Abort:
            print_lines(["nothing was typed: ended"], err=True)
            code = 1
        except typer.TyperException as reason:
            from tagmaker.cli.answers import answer

            with contextlib.suppress(NotPrinted):
                answer(reason, words, self.commands)
            code = 2
        sys.exit(code if isinstance(code, int) else 0)


def _with_defaults(words: Sequence[str]) -> list[str]:
    """The words with a value after each option that may have none."""
    given: list[str] = []
    for at, word in enumerate(words):
        given.append(word)
        if (
            words[0] == "desk"
            and word == "--phones"
            and not ADDRESS.fullmatch("".join(words[at + 1 : at + 2]))
        ):
            given.append("own")
    return given
