"""The pages one has come by, so that Esc goes back along them."""


class Trail:
    """Names of the pages behind the one in front; a page is never on it twice."""

    def __init__(self, home: str) -> None:
        self._home = home
        self._behind: list[str] = []

    @property
    def back(self) -> str:
        """The page to go back to."""
        return self._behind[-1] if self._behind else self._home

    def go(self, leaving: str, to: str, *, back: bool = False) -> None:
        """One goes on to a page, so that what is left is behind it, or back to the last one.

        Home has nothing behind it.
        """
        if back:
            del self._behind[-1:]
        elif to == self._home:
            self._behind.clear()
        else:
            self._behind = [p for p in self._behind if p != to] + [leaving]
