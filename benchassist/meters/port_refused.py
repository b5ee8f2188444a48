"""Why a port did not open, in one plain line with the way out."""

import errno
import sys
from pathlib import Path
from typing import Final

from benchassist.errors import PortError, PortRefusedError
from benchassist.meters.translation import _

if sys.platform != "win32":
    import grp

ABSENT: Final = frozenset({errno.ENOENT, errno.ENODEV, errno.ENXIO})
FORBIDDEN: Final = frozenset({errno.EACCES, errno.EPERM})
BUSY: Final = frozenset({errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK})
NO_LINE: Final = frozenset({errno.ENOTTY, errno.EISDIR, errno.ENOTDIR})
GROUPS: Final = ("dialout", "uucp")
"""What systems call the group of serial ports, where the port itself cannot be asked."""
GROUP_MAY: Final = 0o060


def refusal(port: str, setting: str, error: Exception) -> PortError:
    """One line on why a port did not open, with the way out; `setting` is the line asked for."""
    text = str(error)
    number = getattr(error, "errno", None)
    if "://" in port:
        return PortError(
            _("Nothing answers at {port}: switch it on and check the address").format(port=port)
        )
    if number in ABSENT or "FileNotFoundError" in text:
        return PortError(_("Port {port} is not there: plug the meter's lead in").format(port=port))
    if number in FORBIDDEN:
        return forbidden(port, group_of(port) if Path(port).exists() else _usual_group())
    if number in BUSY or "PermissionError" in text:
        return busy(port)
    if "configure port" in text or number in NO_LINE:
        return PortRefusedError(
            _("{port} is not a serial port: choose one that takes {setting}").format(
                port=port, setting=setting
            )
        )
    return PortError(
        _("Port {port} does not open: {why}").format(port=port, why=text.splitlines()[0])
    )


def busy(port: str) -> PortRefusedError:
    """Another program has it."""
    return PortRefusedError(
        _("Port {port} is in use: close the other program that reads it").format(port=port)
    )


def forbidden(port: str, group: str | None) -> PortRefusedError:
    """Not for this user: the group to join, or the rule that gives the port to who sits there."""
    if group is None:
        return PortRefusedError(
            _(
                "Port {port} is forbidden: install the program's udev rule, then plug it in again"
            ).format(port=port)
        )
    return PortRefusedError(
        _("Port {port} is forbidden: add your user to the {group} group, log in anew").format(
            port=port, group=group
        )
    )


def group_of(port: str) -> str | None:
    """The group whose members may open a device, None where there is none to join."""
    if sys.platform == "win32":
        return None
    try:
        found = Path(port).stat()
        if found.st_gid == 0 or found.st_mode & GROUP_MAY != GROUP_MAY:
            return None
        return grp.getgrgid(found.st_gid).gr_name
    except (OSError, KeyError):
        return None


def _usual_group() -> str | None:
    """What this system calls the group of serial ports."""
    if sys.platform == "win32":
        return None
    known = {entry.gr_name for entry in grp.getgrall()}
    return next((name for name in GROUPS if name in known), GROUPS[0])
