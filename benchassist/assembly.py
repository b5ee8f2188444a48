"""Composition root: builds, wires and stops the parts in order. No logic."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchassist.errors import InputError, ShopFileError

if TYPE_CHECKING:
    from benchassist.core.quantity import Quantity
    from benchassist.core.slip import Slip
    from benchassist.services.needs import Store
    from benchassist.services.settings import Settings
    from benchassist.specbook import Book
    from benchassist.units import UnitChoice


class SystemClock:
    """The computer's clocks."""

    def monotonic(self) -> float:
        """Seconds, never going back."""
        return time.monotonic()

    def now(self) -> datetime:
        """Aware UTC."""
        return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a shop's records are, and the folder of its settings and own profiles."""

    shop: str
    home: Path


def place_of(shop: str | None, home: str | None) -> Place:
    """The named places, or this user's own. Raises InputError for a home that is no folder."""
    from platformdirs import user_data_path

    folder = Path(home) if home else user_data_path("benchassist", appauthor=False)
    if folder.exists() and not folder.is_dir():
        raise InputError(f"--home '{folder}' is a file: name a folder")
    return Place(shop or str(folder / "shop.sqlite"), folder)


def settings_of(place: Place) -> Settings:
    """The shop's settings."""
    from benchassist.services.settings import SettingsFile

    return SettingsFile(place.home / "settings.json").read()


def open_store(place: Place, *, must_exist: bool = False) -> Store:
    """The shop's store. Raises ShopFileError in one line where it cannot be opened."""
    from benchassist.storage import open_store as open_shop

    if "://" not in place.shop:
        path = Path(place.shop)
        if must_exist and not path.exists():
            raise ShopFileError(f"{path}: no such shop file; it is made when a visit is opened")
        path.parent.mkdir(parents=True, exist_ok=True)
    return open_shop(place.shop)


def spec_book(place: Place) -> Book:
    """The shipped profiles with the shop's own over them."""
    from benchassist.specbook import Book

    return Book(place.home / "profiles")
