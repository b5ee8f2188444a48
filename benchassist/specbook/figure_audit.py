"""A figure in a profile that must be readable and above zero."""

from collections.abc import Iterator

from benchassist.core.quantity import Quantity
from benchassist.errors import InputError
from benchassist.specbook.fault import Fault, Where, _
from benchassist.specbook.shelf import Filed, SheetT
from benchassist.units import read_quantity


def faults_of_figure(
    filed: Filed[SheetT], where: Where, text: str, quantity: Quantity
) -> Iterator[Fault]:
    """The fault of a text such as `95 °C` at `where`, if it has one."""
    try:
        value = read_quantity(text, quantity=quantity).value
    except InputError as error:
        yield filed.fault(str(error), *where)
        return
    if not value > 0.0:
        yield filed.fault(_("{text} must be above zero").format(text=text), *where)
