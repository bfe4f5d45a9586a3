"""Puts rigs and answers in words that leave no doubt which end of the rope is which."""

from collections.abc import Sequence
from typing import assert_never

from optimiser.rig import where_it_stands
from optimiser.rig.ground.standing import MARK
from optimiser.rig.naming import spot
from optimiser.rig.setup import PutTogether, Ranking, Role, Setup, names
from optimiser.rig.status import Status, Unsearched
from optimiser.rig.walk import PlaceKind
from optimiser.site.counts import Count
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site
from optimiser.telling.readings.pulled import taken_account_of
from shared.interrupt import cut_short
from shared.units import Dimension, Rounding, show
from shared.words import counted, with_article

CRITERIA = {
    Count.MARGIN: "margin (in bands of 0.1, up to the margin that is enough)",
    Count.RESETS: "fewest resets",
    Count.ROPE: "least rope",
    Count.PULL: "least pull",
    Count.PARTS: "fewest parts of line",
}
"""What a ranking can be ordered by, in words."""


def put_together(setup: Setup, system: str = "metric") -> str:
    """How a rope that is joined or lengthened is put together; "" for one of one piece."""
    joined = setup.rope.joined
    if joined is None:
        return ""
    if joined.bend is None:
        place = spot(setup.walk[0], setup.gear, system)
        return (
            f"The rope is too short by itself: {joined.first.name}, pulled straight, reaches on from "
            f"its standing end to {place}. {joined.second.name} is tied to it."
        )
    bend = next(hung for hung in setup.gear if hung.role is Role.BEND)
    ends = [spot(setup.walk[node], setup.gear, system) for node in bend.nodes]
    return (
        f"No rope is long enough by itself: {joined.first.name}, from the standing end, is joined to "
        f"{joined.second.name} by {with_article(bend.how)}; what is left of {joined.first.name} hangs as "
        f"a tail. The bend stays between {ends[0]} and {ends[1]}: it must not come to a block."
    )


def joined_note(setups: Sequence[Setup]) -> str:
    """The note below a ranking whose ropes are put together; "" without one."""
    if all(setup.rope.joined is None for setup in setups):
        return ""
    return (
        "No setup works with a rope of one piece: these take ropes that are joined by a bend, or "
        "lengthened at the standing end by a strap or chain. `--whole-ropes` leaves that out."
    )


def counting_note(setups: Sequence[Setup]) -> str:
    """The note below a ranking with rigs whose standing end is on the load; "" without one."""
    ranks = [
        s.rank
        for s in setups
        if s.walk[0].kind is PlaceKind.LOAD and len(s.walk) > 2 and s.second is None
    ]
    if not ranks:
        return ""
    which = f"setup {ranks[0]}" if len(ranks) == 1 else f"setups {names(_runs(ranks))}"
    return (
        "Parts are counted at the load: every part of line that pulls on it counts, the standing "
        f"end too where that is made fast to the load ({which}). Sheaves at anchors add no part."
    )


def mark_note(setups: Sequence[Setup]) -> str:
    """The note below a ranking with rigs that are marked down; "" without one."""
    ranks = [s.rank for s in setups if s.marked_down]
    if not ranks:
        return ""
    which = f"Setup {ranks[0]} is" if len(ranks) == 1 else f"Setups {names(_runs(ranks))} are"
    return (
        f"{which} marked down: the puller stands inside an angle of the rope, in line with a part of "
        "it beside the one it hauls on, or below a load that can run back. Ranked as if the margin, "
        f"counted up to enough, were {MARK:g} lower."
    )


def nothing(title: str, status: Status) -> str:
    """The heading of an answer without a setup. A search that did not come to its end has shown nothing."""
    if status is Status.NOTHING_WORKS:
        return f"NO SETUP WORKS for {title}."
    return f"NOT FINISHED: no setup found yet for {title}."


def look_out(setup: Setup) -> str:
    """What a setup's own cautions are about, each in a word or two; "" without any."""
    marked = ["the puller's place: MARKED DOWN"] if setup.marked_down else []
    called = dict.fromkeys(c.key.replace("_", " ") for c in setup.cautions if not c.always)
    named = "; ".join((*marked, *called))
    return f"Look out for: {named}." if named else ""


def proof(ranking: Ranking, system: str = "metric") -> str:
    """What the search has shown, and what it has not."""
    under = (
        f" under the rules: {names(ranking.rules)}" if ranking.rules else ", with every rule off"
    )
    walks = f"{ranking.space:,} {'walk' if ranking.space == 1 else 'walks'} of the rope"
    if ranking.compounds:
        pairs = "pair" if ranking.compounds == 1 else "pairs"
        walks += f" and {ranking.compounds:,} {pairs} of walks of two ropes (tackle on tackle)"
    space = f"among {walks}{under}"
    match ranking.status:
        case Status.PROVEN:
            return f"Proven: {of_one_piece(ranking.put_together)}no better setup exists {space}."
        case Status.CUT_SHORT:
            looked_at = f"{ranking.looked_at:,} were looked at"
            may = f"a better setup may exist {space}"
            if ranking.unsearched is not None and ranking.unsearched.first_stands:
                may = f"no setup better than the first exists {space}, but better ones than the others may"
            words = f"NOT proven ({cut_short()}): {may}; {looked_at}."
            return words + could_reach(ranking.unsearched, "come into the list", system)
        case Status.NOTHING_WORKS:
            return f"Proven: no setup works {space}."
        case Status.UNDECIDED:
            words = f"NOT proven ({cut_short()}): none found yet {space}."
            return words + could_reach(ranking.unsearched, "be found", system)
        case never:
            assert_never(never)


def settled(ranking: Ranking, system: str = "metric") -> str:
    """What the search has shown, and what ropes put together would bring."""
    notes = (proof(ranking, system), more_if_put_together(ranking.put_together))
    return "\n".join(note for note in notes if note)


def of_one_piece(found: PutTogether | None) -> str:
    """Of which ropes an answer is proven, where others bring more."""
    return "" if found is None else "with ropes of one piece "


def spots_note(site: Site) -> str:
    """Over which spots an answer is proven, of anchors that may be made and of pullers that may choose where
    they stand; "" where there is nothing to choose."""
    return "\n".join(note for note in (_made_note(site), where_it_stands.note(site)) if note)


def _made_note(site: Site) -> str:
    """Where anchors may be made, and what of; "" where none may be."""
    spots = dict.fromkeys(anchor.uses[-1][0] for anchor in site.anchors if anchor.uses)
    if not spots:
        return ""
    many = f"{len(spots)} {'spot' if len(spots) == 1 else 'spots'}"
    owned = names([f"{there} × {what}" for what, there in site.stock if what not in spots])
    return (
        f"Anchors that may be made: that is over {many} as the site file has them, not over what lies "
        f"between. What they can be made of: {owned}. What is not used is not made."
    )


def could_reach(rest: Unsearched | None, come: str, system: str = "metric") -> str:
    """What may still come of a search that was cut short, as a sentence after others; "" where nothing of
    that is known."""
    if rest is None:
        return ""
    least = []
    if rest.resets:
        least.append(f"{rest.resets} {'reset' if rest.resets == 1 else 'resets'}")
    if rest.rope:
        least.append(f"{show(rest.rope, Dimension.LENGTH, system, Rounding.DOWN)} of rope")
    words = []
    if rest.margin is not None:
        words.append(
            f"reaches a margin of {show(rest.margin, Dimension.RATIO, system, Rounding.UP)} at most"
        )
    if least:
        words.append(f"needs {names(least)} at least")
    return f" What may still {come} {names(words)}." if words else ""


TWO_ROPES_LEFT = (
    "Tackle on tackle (a second rope's blocks hauling on the first rope) was not looked at, as there "
    "is too much of it to be quick: `--compound` does."
)


def more_if_put_together(found: PutTogether | None, of: str = "") -> str:
    """What ropes that are put together bring more than those of one piece that are listed. `of`: of what."""
    if found is None:
        return ""
    more = (
        "may bring more margin"
        if found.margin is None
        else f"bring more margin (at least {show(found.margin, Dimension.RATIO, rounding=Rounding.DOWN)}{of})"
    )
    return f"Ropes that are joined, or lengthened by a strap or chain, {more}: `--join-ropes` lists them too."


def not_held(ranking: Ranking) -> str:
    """How many setups were left out for want of a holding line; "" where none was requested."""
    if ranking.not_held is None:
        return ""
    if not ranking.setups:
        lines = "a second line wherever the load would run by itself or slew"
        return (
            f"{counted(ranking.not_held, 'setup')} would do, but the gear left does not give {lines}."
            if ranking.not_held
            else f"Only setups with {lines} were asked for."
        )
    many = "None was" if ranking.not_held == 0 else f"{ranking.not_held} better ones were"
    many = "1 better one was" if ranking.not_held == 1 else many
    return (
        "Every setup listed has a holding line wherever the load would run by itself, and a steering "
        "line where the haul alone would slew it, from the gear "
        f"that the haul leaves. {many} left out because that gear gives none."
    )


def guesses(site: Site, corner: Corner, *, lowered: bool = False) -> str:
    """At which end the ranges of the site file are taken; "" where it has none. What only raising the
    load calls for is left out. `lowered`: for letting it down, where smooth ground is the worse."""
    guessed = [guess for guess in site.guesses if not guess.key.startswith("lever.")]
    if not guessed:
        return ""
    system = site.preferences.units
    both = corner == "worst" and any(guess.either for guess in guessed)
    end = {"worst": "worse end", "best": "better end", "stated": "middle"}[corner]
    listed = []
    for guess in guessed:
        value = getattr(guess, corner)
        if lowered and guess.key.endswith(".resistance"):
            value = min(guess.worst, guess.best)
        text = show(value, Dimension(guess.dimension), system)
        if guess.either and corner == "worst":
            text += f" and {show(guess.best, Dimension(guess.dimension), system)}"
        listed.append(f"{guess.key} {text}")
    also = ", and for both where either may be the worse" if both else ""
    pulls = taken_account_of(site, lowered=lowered)
    return f"Planned for the {end} of every range in the site file{also}: {names(listed)}.{pulls}"


def order(criteria: Sequence[Count]) -> str:
    """The order of a ranking: "margin ..., then fewest resets, then least rope"."""
    return ", then ".join(CRITERIA[key] for key in criteria)


def _runs(numbers: Sequence[int]) -> list[str]:
    """Rising numbers in words, three or more that follow each other as one: "1", "3 to 7"."""
    groups: list[list[int]] = []
    for number in numbers:
        if groups and number == groups[-1][-1] + 1:
            groups[-1].append(number)
        else:
            groups.append([number])
    return [
        text
        for group in groups
        for text in ([f"{group[0]} to {group[-1]}"] if len(group) > 2 else map(str, group))
    ]
