"""Single faults in valid blocks that are read as something else, and what is taken in spite of it.

No family but scpi on USB has a checksum, so some must get through; taking waits for three readings
that agree and takes the middle one.
"""

from collections.abc import Iterator

from tests.benchmarks.figure import Aim, Figure
from tests.meters.fault import FAULTS, share, variants
from tests.meters.taking import takings

TOUCHES = 100_000
RATE = 1e-4

LIMIT = {
    "nibble-11": "digit into digit; code into another function's; sign",
    "nibble-11 +parity": "odd parity sees every single bit; a lost byte breaks the length",
    "nibble-14": "digit into digit; range, function, sign",
    "nibble-14 +parity": "odd parity sees every single bit; a lost byte breaks the length",
    "ascii-14": "digit into digit, point, sign, a unit's prefix lost",
    "segment-14": "points and few digit pairs are one segment apart",
    "stx-16": "eight digits, point, polarity, annunciators next to each other",
    "poll-14": "digits and prefix letters",
    "text-line": "no fixed length: a digit or a point may go or come unseen",
}


def figures() -> Iterator[Figure]:
    """Every fault of each kind in every block; then touches through a bad cable."""
    for variant in variants():
        for kind in FAULTS:
            found = share(variant, kind)
            yield Figure(
                name=f"{variant}: {kind}, read wrongly",
                ours=100.0 * found.wrong_share,
                unit="%",
                note=f"{found.wrong} of {found.faults}"
                + (f"; {LIMIT[variant]}" if kind == "bit flipped" else ""),
            )
    each = -(-TOUCHES // len(variants()))
    for variant in variants():
        taken = takings(variant, each, rate=RATE)
        yield Figure(
            name=f"{variant}: taken and never shown",
            ours=float(taken.off),
            unit="of all",
            aim=Aim(0.0, on="ours"),
            note=(
                f"{taken.taken} takings, {taken.flipped} bits flipped at 1 in {1 / RATE:,.0f} "
                f"bytes; {taken.wrong} farther off than the steady rule allows"
            ),
        )
