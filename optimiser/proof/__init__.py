"""The independent re-check: works every figure of an answer out again, by other means.

Plain Python, point by point. From the site and what the answer states to hang where, the forces, lengths,
counts and capacities of every line are worked out again and compared with what the answer claims: a
hauling line, two ropes, lines that hold or steer, a way down. All pass the same checks (`rigs`). No
formula is shared with the search or with the program's mechanics: only values of the site, the rig and
its results, the catalogue's kinds of gear, and the data files. A disagreement is a defect of the
program, never of the input.
"""

from optimiser.proof.loads.haul import verify, verify_second_lines
from optimiser.proof.notes import VerificationError
from optimiser.proof.ranges import verify_margins
from optimiser.proof.way_down import verify_way_down
from optimiser.proof.whole_way import verify_course

__all__ = [
    "VerificationError",
    "verify",
    "verify_course",
    "verify_margins",
    "verify_second_lines",
    "verify_way_down",
]
