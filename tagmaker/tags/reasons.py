"""Why a switch has its setting, in words: shared by the placard, the summary and the command line."""

from collections.abc import Sequence

from tagmaker.catalog.family import Condition
from tagmaker.catalog.words import Words
from tagmaker.plan.model import BankPlan, SwitchPlan

__all__ = ["condition_text", "on_list", "reason", "settings_text"]


def reason(switch: SwitchPlan, words: Words) -> str:
    """Why a switch is ON, or that it is left as found; empty for one that is OFF."""
    if switch.state == "leave":
        return words("reason.leave")
    if not switch.when:
        return ""
    text = condition_text(switch.when, switch.ports, words)
    return f"{text} ({words('reason.check')})" if switch.check_only else text


def condition_text(when: Condition, letters: Sequence[str], words: Words) -> str:
    """What an ON switch means for the positions with these letters."""
    between = "+" if when == "joined" else ", "
    one = "_one" if when == "unfitted" and len(letters) == 1 else ""
    return words(f"reason.{when}{one}", ports=between.join(letters))


def on_list(bank: BankPlan, words: Words) -> str:
    """The switches of a bank that are ON, by number, or the word for none."""
    if on := " ".join(map(str, bank.on())):
        return words("placard.bank_on", switches=on)
    return words("placard.bank_rest" if bank.left() else "placard.bank_none")


def settings_text(bank: BankPlan, words: Words, *, names_rest: bool = False) -> str:
    """A bank's settings: what is ON, which of it the factory sets, what is left as found.

    `names_rest` says of the rest too that it is OFF, for where no heading does.
    """
    check = " ".join(str(switch.number) for switch in bank.switches if switch.check_only)
    left = words("summary.leave", switches=" ".join(map(str, bank.left()))) if bank.left() else ""
    text = on_list(bank, words) + (f" ({words('summary.check', switches=check)})" if check else "")
    if not bank.on():
        return ", ".join(filter(None, (left, text)))
    has_rest = names_rest and any(switch.state == "off" for switch in bank.switches)
    return ", ".join(filter(None, (text, left, words("placard.bank_rest") if has_rest else "")))
