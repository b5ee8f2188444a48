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

    def go(self, leaving: str, to: str) -> None:
        """Going to a page one has come by is going back to it."""
        if to in self._behind:
            del self._behind[self._behind.index(to) :]
        else:
            self._behind.append(leaving)
