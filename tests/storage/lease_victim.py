"""Takes a visit up, waits to be killed: `python -m tests.storage.lease_victim LOCATION VISIT`."""

import signal
import sys

from benchassist.core.lease import Granted
from benchassist.storage import open_store
from tests.storage.victim import say


def main(location: str, visit_id: str) -> None:
    """Say so once it has the visit."""
    store = open_store(location)
    store.benches.wear("V", "")
    if isinstance(store.benches.take_up(visit_id), Granted):
        say("taken")
    signal.pause()


if __name__ == "__main__":
    main(*sys.argv[1:])
