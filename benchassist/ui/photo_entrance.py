"""Photos that come in at whatever page is in front: they go to the machine that page is about."""

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from PySide6.QtWidgets import QWidget

from benchassist.errors import StepError
from benchassist.services.desk import Desks
from benchassist.services.record.photo_view import PhotoDesk
from benchassist.services.translation import _
from benchassist.ui.page import Page, Turn
from benchassist.ui.photo_door import Handed, PhotoDoor, pasted
from benchassist.ui.photo_page import PhotoPage


class Pages(Protocol):
    """What the window tells of its pages."""

    page: Page
    pages: dict[str, Page]
    visit_id: str

    @property
    def turn(self) -> Callable[[Turn], None]:
        """Brings a page to the front."""
        ...

    def worked_on(self, name: str) -> Turn | None:
        """What a page was last turned to with."""
        ...


class PhotoEntrance:
    """Photos dragged onto the window, or pasted in it, are added and shown on their own page."""

    def __init__(self, window: QWidget, pages: Pages, photos: PhotoPage) -> None:
        self._pages, self._photos = pages, photos
        self.door = PhotoDoor(window)
        self.door.came.connect(self.take)

    def take(self, handed: Handed) -> None:
        """Add photos to the visit at hand, and show them."""
        if self.enter():
            self._photos.take(handed)

    def paste(self) -> bool:
        """Add the picture that was copied last; False where there is none."""
        handed = pasted()
        if handed:
            self.take(handed)
        return bool(handed)

    def enter(self) -> bool:
        """Turn to the photos of the machine the page in front is about; whether there is one."""
        pages = self._pages
        name = next((k for k, page in pages.pages.items() if page is pages.page), "")
        match name:
            case "photos":
                return True
            case "bench" | "findings" | "print":
                pages.turn(Turn(page="photos", visit_id=pages.visit_id))
            case "machine":
                pages.turn(replace(pages.worked_on(name) or Turn(page=name), page="photos"))
            case _:
                said = _("Open a visit or a machine’s file first, then add the photo")
                pages.page.problem = said
                pages.page.refresh()
        return pages.page is self._photos


def photos_of(desks: Desks, to: Turn, visit_id: str) -> PhotoDesk:
    """The photos of the machine named, else of the one whose visit is on the bench."""
    if desks.photos is None:
        raise StepError(_("there are no photos here"))
    return desks.photos(to.machine_id, to.visit_id or ("" if to.machine_id else visit_id))
