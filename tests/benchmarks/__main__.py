"""Print the figures: all modules `bench_*.py` of this folder, or those named.

python -m tests.benchmarks [NAME ...]     a NAME is a module's, with or without `bench_`
"""

import importlib
import sys
from pathlib import Path

from tests.benchmarks.figure import Figure, table

HERE = Path(__file__).parent
PREFIX = "bench_"


def main(names: list[str]) -> int:
    """Run what is named and print one table; 2 for a name that is not there."""
    known = sorted(path.stem.removeprefix(PREFIX) for path in HERE.glob(f"{PREFIX}*.py"))
    wanted = [name.removeprefix(PREFIX) for name in names] or known
    if unknown := [name for name in wanted if name not in known]:
        print(f"no benchmark {', '.join(unknown)}; there are: {', '.join(known)}", file=sys.stderr)
        return 2
    found: list[Figure] = []
    for name in wanted:
        print(f"measuring {name}", file=sys.stderr)
        found += importlib.import_module(f"tests.benchmarks.{PREFIX}{name}").figures()
    print(table(found))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
