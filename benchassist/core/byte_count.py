"""How much a file or a disk holds, as a person reads it."""


def size_text(count: int) -> str:
    """Return bytes in kB, MB or GB, a thousand of one being one of the next."""
    if count >= 1e9:
        return f"{count / 1e9:.1f} GB"
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{count / 1e3:.0f} kB"
