"""The command `hold`: which pressure of nitrogen to expect at another temperature, and does a test hold?

Exit code 1 where it falls, or where the instruments cannot tell.
"""

from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from tagmaker.cli.options import AsJson, WrongUsage, end

if TYPE_CHECKING:
    from tagmaker.measures import Measure
    from tagmaker.workflows.hold import Held

__all__ = ["hold", "hold_lines"]

Kind = TypeVar("Kind", bound="Measure")


def hold(
    start: Annotated[str, typer.Argument(metavar="START", help='Gauge pressure at the start: "600 psi".')],
    at: Annotated[str, typer.Argument(metavar="AT", help='Temperature of the pipe at the start: "70 F".')],
    now: Annotated[str, typer.Argument(metavar="NOW", help='Temperature of the pipe now: "40 F".')],
    read: Annotated[
        str, typer.Argument(metavar="[READ]", help="Gauge pressure read now.", show_default=False)
    ] = "",
    gauge: Annotated[
        str, typer.Option("--gauge", metavar="U", help='How far the gauge may be wrong: "1 psi".')
    ] = "",
    thermometer: Annotated[
        str, typer.Option("--thermometer", metavar="U", help='How far the thermometer may be wrong: "0.5 F".')
    ] = "",
    atmosphere: Annotated[
        str, typer.Option("--atmosphere", metavar="P", help="Absolute pressure of the air.")
    ] = "14.696 psi",
    fall: Annotated[
        str,
        typer.Option(
            "--fall", metavar="P", help="Least fall that the test must show; default 0.3 % of START."
        ),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Compute the pressure of held nitrogen at another temperature, and whether a pressure test holds."""
    from tagmaker.measures import Pressure, Temperature, TemperatureStep
    from tagmaker.plan.hold import Readings, fault
    from tagmaker.workflows import hold as workflow

    readings = Readings(
        start=_needed(start, Pressure, "START"),
        at=_needed(at, Temperature, "AT"),
        now=_needed(now, Temperature, "NOW"),
        read=_read(read, Pressure, "READ"),
        gauge=_read(gauge, Pressure, "--gauge"),
        thermometer=_read(thermometer, TemperatureStep, "--thermometer"),
        atmosphere=_read(atmosphere, Pressure, "--atmosphere"),
        fall=_read(fall, Pressure, "--fall"),
    )
    if wrong := fault(readings):
        raise WrongUsage(wrong)
    held = workflow.hold(readings)
    is_open = held.answer.verdict in {"falls", "cannot tell"}
    end((), held.outline, hold_lines(held), as_json=as_json, is_wrong=is_open)


def _needed(text: str, kind: type[Kind], name: str) -> Kind:
    """The measure of a text; exits with 2, and the way to write one, where it is none."""
    from tagmaker.units import Unreadable

    read = kind.read(text)
    if isinstance(read, Unreadable):
        raise WrongUsage(f"{name}: {read.message}", read.hint)
    return read


def _read(text: str, kind: type[Kind], name: str) -> Kind | None:
    """The same of a text that may be left out."""
    return _needed(text, kind, name) if text else None


def hold_lines(held: "Held") -> list[str]:
    """What to expect; where a pressure was read, by how much it differs, and the verdict with its reason."""
    from tagmaker.catalog.words import load_words

    words, made = load_words(), held.answer
    change = made.expected - float(made.readings.start.value)
    expected = words(
        f"hold.{'lower' if change < 0 else 'higher'}",
        start=made.readings.start.text(),
        at=made.readings.at.text(),
        now=made.readings.now.text(),
        expected=held.text(made.expected),
        change=held.text(change),
    )
    if made.difference is None or made.verdict is None or made.readings.read is None:
        return [expected, words("hold.not_certificate")]
    compared = words(
        f"hold.{'below' if made.difference < 0 else 'above'}",
        read=made.readings.read.text(),
        difference=held.text(made.difference),
        uncertainty=held.text(made.uncertainty),
    )
    return [expected, compared, _verdict_line(held), words("hold.not_certificate")]


def _verdict_line(held: "Held") -> str:
    """The verdict with its reason."""
    from tagmaker.catalog.words import load_words

    words, made = load_words(), held.answer
    if made.verdict != "cannot tell":
        return words(f"hold.{made.verdict}", fall=held.text(made.fall))
    if (made.difference or 0) > made.uncertainty:
        return words("hold.too_high")
    key = "coarse" if made.is_coarse else "hidden"
    return words(f"hold.{key}", fall=held.text(made.fall))
