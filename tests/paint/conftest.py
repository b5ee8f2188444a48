"""Every drawing needs an application, and nothing of a window."""

import pytest
from PySide6.QtWidgets import QApplication


@pytest.fixture(autouse=True)
def application(qapp: QApplication) -> QApplication:
    """The one application of the run."""
    return qapp
