"""A machine's particulars as a form: its fields, and what is read from them."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from benchassist.core.entry import Machine
from benchassist.core.plain_text import brief, typed
from benchassist.core.procedure import EngineClass
from benchassist.errors import InputError
from benchassist.services.front.counter_view import Field, FieldChoice, FieldKind
from benchassist.services.translation import _
from benchassist.services.typed_line import line_of

LONGEST_TAG = 16
UNKNOWN = "unknown"
"""The engine class of a machine whose ignition nobody has looked at."""


def machine_fields(machine: Machine, classes: tuple[EngineClass, ...]) -> tuple[Field, ...]:
    """The fields with what stands in them."""
    choices = tuple(FieldChoice(key=c.key, text=c.name, note=c.description) for c in classes)
    return (
        Field(key="tag", label=_("Tag"), value=machine.tag, open_ended=False),
        Field(
            key="customer", label=_("Customer"), hint=_("who brought it"), value=machine.customer
        ),
        Field(
            key="phone",
            label=_("Phone"),
            hint=_("last digits find it again"),
            value=machine.phone,
        ),
        Field(
            key="unit",
            label=_("Machine"),
            hint=_("such as power-sprayer pump"),
            value=machine.unit,
        ),
        Field(
            key="engine", label=_("Engine"), hint=_("model from its plate"), value=machine.engine
        ),
        Field(key="serial", label=_("Serial number"), value=machine.serial),
        Field(
            key="engine_class",
            label=_("Ignition"),
            kind=FieldKind.CHOICE,
            choices=choices,
            value=machine.engine_class or UNKNOWN,
            open_ended=False,
        ),
    )


def read_machine(
    machine: Machine,
    fields: Mapping[str, str],
    *,
    classes: tuple[EngineClass, ...],
    is_taken: Callable[[str], bool],
    free_tag: Callable[[], str] | None = None,
) -> Machine:
    """The machine as the fields say. Raises InputError naming the one that is wrong.

    `is_taken` says whether a tag is another machine's, `free_tag` one that is nobody's.
    """
    labels = {field.key: field.label for field in machine_fields(machine, classes)}
    # What came from elsewhere and was not touched stays as it is, however long.
    given = {
        key: value if value == getattr(machine, key, None) else line_of(value, labels.get(key, key))
        for key, value in fields.items()
    }
    tag = given.get("tag", "")
    if not tag or any(c.isspace() for c in tag) or len(tag) > LONGEST_TAG or typed(tag) != tag:
        raise InputError(
            _("tag '{tag}': use up to 16 letters and digits, no space").format(tag=brief(tag))
        )
    if is_taken(tag):
        raise InputError(
            _("tag '{tag}' is another machine's: {free} is free").format(tag=tag, free=free_tag())
            if free_tag is not None
            else _("tag '{tag}' is another machine's: take a free one").format(tag=tag)
        )
    if not any(given.get(key) for key in ("customer", "unit", "engine", "serial")):
        raise InputError(_("name the customer, the machine, its engine or its serial number"))
    known = {c.key for c in classes}
    engine_class = given.get("engine_class") or UNKNOWN
    if engine_class not in known and engine_class != machine.engine_class:
        raise InputError(
            _("ignition '{key}' is not one of {known}").format(
                key=brief(engine_class), known=", ".join(sorted(known))
            )
        )
    return replace(
        machine,
        tag=tag,
        customer=given.get("customer", ""),
        phone=given.get("phone", ""),
        unit=given.get("unit", ""),
        engine=given.get("engine", ""),
        serial=given.get("serial", ""),
        engine_class=engine_class,
    )
