"""Every exception that is expected, each with a message fit for the technician.

A `BenchError` carries one plain line that names the input and says what would be right.
A bad measurement is a verdict and never an exception; anything else is a bug.
"""


class BenchError(Exception):
    """Base of every expected failure."""


class InputError(BenchError):
    """The input is wrong: what was given and what would be right (exit 2)."""


class UnitError(InputError):
    """A quantity text that cannot be read, or a unit that does not fit."""


class ProfileError(InputError):
    """Faults in profile files; `faults` holds one `file:line: message` each."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class PortError(BenchError):
    """A port that is absent, busy, forbidden or lost."""


class PortRefusedError(PortError):
    """A port that is there and stays shut until a person does something about it."""


class LinkError(BenchError):
    """A meter that answers with something other than what was asked."""


class ShopFileError(BenchError):
    """A shop file that is not one, is read-only, damaged or newer than the program."""


class NotAShopError(ShopFileError, InputError):
    """What was named as a shop file is something else: another file, a folder, nothing."""


class StoreError(BenchError):
    """The shop's store refused a write; what was to be written is still in hand."""


class NotFoundError(BenchError):
    """A visit, machine or profile that the shop does not have."""


class StepError(BenchError):
    """A request that the visit's present state does not allow, and what would."""


class PrintError(BenchError):
    """The slip could not be written or printed."""
