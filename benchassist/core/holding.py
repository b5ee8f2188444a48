"""What a shop holds of a customer, and what became of it when it was erased."""

from dataclasses import dataclass

from benchassist.core.entry import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """Words that tell who a customer is. `where` is a code: 'interview', 'machine', or a kind.

    The kinds are those of entries on disk: 'noted', 'did', 'photo_added', ...
    """

    visit_id: str
    slip_number: str
    tag: str
    where: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """A machine of a customer who was looked for, and all that is held of them with it.

    `names` are the customers that the machine and its visits name, the machine's own first;
    `headers` counts the visits that name one, `photos` those of its visits that the shop keeps.
    `exact`: what was looked for is the whole name or the whole number.
    """

    machine: Machine
    exact: bool
    names: tuple[str, ...]
    phones: tuple[str, ...]
    visits: int
    headers: int
    mentions: tuple[Mention, ...]
    photos: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonalData:
    """What was found for some words, exact ones first. `elsewhere`: in visits of other machines."""

    holdings: tuple[Holding, ...] = ()
    elsewhere: tuple[Mention, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Erased:
    """What was erased. `words` counts entries and interviews in which words were blotted out.

    `photos` are the digests of photos whose originals are to be removed, `shared` counts those that
    stay because another machine's visit has them. `lingers` says in one line where the text may
    still stand in unused parts of the shop's storage; empty: it does not.
    """

    tags: tuple[str, ...]
    visits: int
    words: int
    photos: tuple[str, ...] = ()
    shared: int = 0
    lingers: str = ""
