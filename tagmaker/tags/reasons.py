"""Why a switch has its setting, in words: shared by the placard, the summary and the command line."""

from collections.abc import Sequence

from tagmaker.catalog.family import Condition
from tagmaker.catalog.words import Words
from tagmaker.plan.model import BankPlan, SwitchPlan

__all__ = ["condition_text", "on_list", "reason"]


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
