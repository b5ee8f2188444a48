"""What every command prints the same way."""

import json


def print_json(value: object) -> None:
    """One JSON object on one line, flushed."""
    print(json.dumps(value, ensure_ascii=False, allow_nan=False), flush=True)
