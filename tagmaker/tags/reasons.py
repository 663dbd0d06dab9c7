"""Why a switch stands as it does, in words."""

from tagmaker.catalog.words import Words
from tagmaker.plan.model import BankPlan, SwitchPlan

__all__ = ["on_list", "reason"]


def reason(switch: SwitchPlan, words: Words) -> str:
    """Why a switch is ON, or that it is left as found; empty for one that is OFF."""
    if switch.state == "leave":
        return words("reason.leave")
    if switch.state == "off":
        return ""
    between = "+" if switch.when == "joined" else ", "
    one = "_one" if switch.when == "unfitted" and len(switch.ports) == 1 else ""
    text = words(f"reason.{switch.when}{one}", ports=between.join(switch.ports))
    return f"{text} ({words('reason.check')})" if switch.check_only else text


def on_list(bank: BankPlan, words: Words) -> str:
    """The switches of a bank that are ON, or that none is."""
    on = " ".join(map(str, bank.on()))
    return words("placard.bank_on", switches=on) if on else words("placard.bank_none")
