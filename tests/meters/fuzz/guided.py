"""Fuzz one decoder guided by what its code reaches; needs atheris, which ends the process itself.

python -m tests.meters.fuzz.guided FAMILY CORPUS [-runs=N] [-max_total_time=S]     (libFuzzer's)
"""

import sys
from pathlib import Path

import atheris  # type: ignore[import-untyped]  # it ships no types

with atheris.instrument_imports(include=["benchassist.meters"]):
    from tests.meters.fuzz.target import check_split, target, valid_blocks


def main(arguments: list[str]) -> None:
    """Start from valid blocks in the corpus folder; whatever breaks is written there."""
    name, corpus, *options = arguments
    folder = Path(corpus)
    for number, block in enumerate(valid_blocks(name)):
        (folder / f"valid-{number}").write_bytes(bytes([number]) + block)

    def one(data: bytes) -> None:
        """The first byte says where the rest is cut."""
        if not data:
            return
        cut, stream = data[0], data[1:]
        target(name).feed(stream)
        check_split(name, stream, [cut])

    options += [f"-artifact_prefix={folder}/", "-print_final_stats=1"]
    atheris.Setup([sys.argv[0], *options, str(folder)], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
