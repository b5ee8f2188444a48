"""The foot pedal: any key, learned by pressing it.

Most pedals are keyboards with one key. What they send is kept by name in the settings.
"""

from PySide6.QtGui import QKeyEvent

from benchassist.ui.key_map import press_name

RESERVED = frozenset({"Esc", "Enter", "Backspace", "Left", "Right", "Up", "Down", "F1", "Ctrl+L"})
"""Keys that keep their meaning; a pedal cannot be one of them."""


class Pedal:
    """Which key is the pedal, empty for none; knows when it is being learned."""

    def __init__(self, key: str = "") -> None:
        self.key = key
        self.learning = False

    def matches(self, event: QKeyEvent) -> bool:
        """Whether this key is the pedal. A space bar is a pedal anyway."""
        return bool(self.key) and press_name(event) == self.key

    def learn(self, event: QKeyEvent) -> bool:
        """Take this key as the pedal; False for a bare modifier or a reserved key."""
        name = press_name(event)
        if event.isAutoRepeat() or not name or name in RESERVED:
            return False
        self.key, self.learning = name, False
        return True

    def forget(self) -> None:
        """No pedal any more."""
        self.key, self.learning = "", False
