"""The guided visit in a guarded process: `python -m tests.end_to_end.practice_run FOLDER`.

Leaves what the visit leaves, and FOLDER/done.json: how the process ended, what it said and loaded.
"""

import json
import sys
from pathlib import Path

from tests.cli.program import run

LONGEST_S = 280.0


def main(folder: Path) -> int:
    """Play it, and write down how it went."""
    folder.mkdir(parents=True, exist_ok=True)
    done = run(
        folder,
        *("practice", "--headless", folder / "visit", "--home", folder / "home", "--json"),
        patience_s=LONGEST_S,
    )
    qt = done.has_loaded("PySide6")
    said = {"code": done.code, "out": done.out, "err": done.err, "qt": qt}
    (folder / "done.json").write_text(json.dumps(said), "utf-8")
    if done.code:
        sys.stdout.write(done.err)
    return done.code


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
