"""Fuzz the decoders and print what they accepted.

python -m tests.meters.fuzz [--bytes N] [--seed N] [FAMILY ...]      ten million bytes each
"""

import argparse
import sys

from tests.meters.fuzz.barrage import SEED, barrage
from tests.meters.fuzz.target import targets

HEADING = (
    f"{'family':<11} {'input':<8} {'bytes':>11} {'readings':>9} {'per million':>12} "
    f"{'overloads':>9} {'held':>5} {'grown kB':>8} {'seconds':>8}"
)


def main(arguments: list[str]) -> int:
    """Run it; a decoder that breaks ends it with its traceback."""
    parser = argparse.ArgumentParser(prog="python -m tests.meters.fuzz")
    parser.add_argument("--bytes", type=int, default=10_000_000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("family", nargs="*", choices=[[], *targets()])
    asked = parser.parse_args(arguments)
    sys.stdout.write(HEADING + "\n")
    for name in asked.family or targets():
        for kind in ("random", "damaged"):
            found = barrage(name, kind, asked.bytes, seed=asked.seed)
            sys.stdout.write(
                f"{name:<11} {kind:<8} {found.fed:>11,} {found.accepted:>9,} "
                f"{found.accepted_per_million:>12.2f} {found.overloads:>9,} "
                f"{found.largest_hold:>5} {found.grown_kb:>8,} {found.took_s:>8.1f}\n"
            )
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
