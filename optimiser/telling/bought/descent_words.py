"""Puts into words what a purchase makes of a way down."""

from optimiser.jobs.buy.results import OptionDown
from optimiser.jobs.lower import words
from optimiser.rig.edge_words import needs
from optimiser.rig.where_it_stands import sentence as in_full
from optimiser.site.model import Site
from optimiser.telling.fields.common import sentence
from optimiser.telling.lower import setup_report
from shared.report import Block
from shared.units import Dimension, show


def run_in_words(option: OptionDown, system: str) -> str:
    """How the rope runs, and what the hand holds, stage by stage from the top down."""
    lines = []
    for setup in option.setups:
        text = sentence(words.run_of_rope(setup, system))
        if setup.turns:
            text += f" The hand holds up to {words.newtons(setup.hand, system)}."
        if setup.standing is not None:
            text += f" {in_full(setup.standing, system)}"
        laid = needs(setup.gear, setup.contacts, system)
        lines.append(f"{text} {laid}" if laid else text)
    if len(lines) == 1:
        return lines[0]
    return "\n".join(f"Stage {i}: {text}" for i, text in enumerate(lines, start=1))


def shown(site: Site, option: OptionDown) -> list[Block]:
    """A way down spelt out, stage by stage from the top."""
    answer, blocks = option.answer, list[Block]()
    for number, setup in enumerate(option.setups, start=1):
        if number > 1:
            at = show(setup.from_m, Dimension.LENGTH, site.preferences.units)
            text = f"Chock the load at {at} of the path, take the line off and rig it anew."
            blocks.append((f"Between stage {number - 1} and stage {number}", text))
        blocks += setup_report(answer.site, setup, answer.notes if number == 1 else ())
    return blocks
