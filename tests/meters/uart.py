"""A serial line bit by bit: what a receiver makes of bytes sent at another rate or with other bits.

A pseudo-terminal cannot make the faults of parity and framing, so they are made here. A receiver
that checks parity reads a faulty byte as 0x00, as the line discipline does when it is asked to
check; one that does not hands it on as it came.
"""

from benchassist.meters.port import LineSetting

OVERSAMPLING = 16
IDLE_BITS = 12


def levels(data: bytes, line: LineSetting) -> list[int]:
    """The line's level for each bit time: idle, start, data from the low end, parity, stop."""
    found = [1] * IDLE_BITS
    for byte in data:
        bits = [byte >> place & 1 for place in range(line.bits)]
        parity = [] if line.parity == "N" else [(sum(bits) + (line.parity == "O")) % 2]
        found += [0, *bits, *parity, *[1] * round(line.stop)]
    return found + [1] * IDLE_BITS


def heard(sent: list[int], sent_baud: int, line: LineSetting) -> bytes:
    """What a receiver set to `line` reads of levels sent at `sent_baud`."""
    end = len(sent) / sent_baud
    step = 1.0 / (line.baud * OVERSAMPLING)

    def at(t_s: float) -> int:
        return sent[min(int(t_s * sent_baud), len(sent) - 1)]

    found, t_s = bytearray(), 0.0
    while t_s < end:
        if at(t_s):
            t_s += step
            continue
        middle = t_s + 0.5 / line.baud
        if at(middle):  # too short for a start
            t_s += step
            continue
        count = line.bits + (line.parity != "N") + 1
        bits = [at(middle + place / line.baud) for place in range(1, count + 1)]
        *carried, stop = bits
        byte = sum(bit << place for place, bit in enumerate(carried[: line.bits]))
        odd = line.parity == "O"
        is_whole = stop == 1 and (line.parity == "N" or (sum(carried) + odd) % 2 == 0)
        found.append(byte if is_whole or line.parity == "N" else 0x00)
        t_s = middle + count / line.baud
        while t_s < end and not stop and not at(t_s):  # a break is one byte
            t_s += step
    return bytes(found)


def carried(data: bytes, sent: str, received: str) -> bytes:
    """Bytes sent on one line setting as they are read on another."""
    sender, receiver = LineSetting.read(sent), LineSetting.read(received)
    return heard(levels(data, sender), sender.baud, receiver)
