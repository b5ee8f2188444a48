"""The colours, by role: light, dark, and black on white for print.

Every pair that carries text is above 4.5:1 (most above 7:1) by the WCAG 2 formula; the marks of a
verdict are told apart by shape, colour only helps.
"""

from dataclasses import dataclass

from benchassist.core.band import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """One colour a role, as `#RRGGBB`. `plain` marks print: no colour, no gradient."""

    bench: str
    panel: str
    panel_edge: str
    well: str
    paper: str
    rule: str
    kraft: str
    kraft_text: str
    ink: str
    dim: str
    faint: str
    pencil: str
    band: str
    band_edge: str
    in_mark: str
    in_text: str
    out_mark: str
    out_text: str
    close_mark: str
    close_text: str
    cannot_mark: str
    cannot_text: str
    bar: str
    bar_text: str
    bar_dim: str
    main_key: str = "#F0E442"
    main_key_edge: str = "#9C9425"
    main_key_text: str = "#14191D"
    plain: bool = False

    @property
    def live(self) -> str:
        """The colour of what moves now: jaws, the newest dot, the text cursor."""
        return self.in_mark

    def mark(self, verdict: Verdict | None) -> str:
        """The colour of a verdict's lozenge, dot or diamond; `dim` where nothing was judged."""
        return {
            Verdict.IN_BAND: self.in_mark,
            Verdict.OUT_OF_BAND: self.out_mark,
            Verdict.TOO_CLOSE: self.close_mark,
            Verdict.CANNOT_TELL: self.cannot_text,
        }.get(verdict or Verdict.RECORDED, self.dim)

    def text(self, verdict: Verdict | None) -> str:
        """The colour of a verdict's word; `ink` for looks and recorded values."""
        return {
            Verdict.IN_BAND: self.in_text,
            Verdict.OUT_OF_BAND: self.out_text,
            Verdict.TOO_CLOSE: self.close_text,
            Verdict.CANNOT_TELL: self.cannot_text,
        }.get(verdict or Verdict.RECORDED, self.ink)


LIGHT = Palette(
    bench="#F3F4F1",
    panel="#FFFFFF",
    panel_edge="#C6CCCB",
    well="#E5E9E8",
    paper="#FFFDF6",
    rule="#D9D0BC",
    kraft="#D8CDB9",
    kraft_text="#3A3226",
    ink="#14191D",
    dim="#48525A",
    faint="#5F6A72",
    pencil="#5B5F63",
    band="#B7C7D1",
    band_edge="#3E5361",
    in_mark="#0072B2",
    in_text="#005A8C",
    out_mark="#D55E00",
    out_text="#A33E00",
    close_mark="#E69F00",
    close_text="#7A4C00",
    cannot_mark="#B45A8E",
    cannot_text="#7C2E5B",
    bar="#1A2126",
    bar_text="#F3F4F1",
    bar_dim="#BAC3C8",
)

DARK = Palette(
    bench="#11161A",
    panel="#1A2127",
    panel_edge="#36424A",
    well="#232C33",
    paper="#2B2720",
    rule="#4C453A",
    kraft="#201C16",
    kraft_text="#D9CDB8",
    ink="#F3F1EA",
    dim="#BCC6CB",
    faint="#9DA9B0",
    pencil="#B3AB9C",
    band="#3F5463",
    band_edge="#9DB8C8",
    in_mark="#56B4E9",
    in_text="#7CC8F4",
    out_mark="#F0803A",
    out_text="#FF9E63",
    close_mark="#E69F00",
    close_text="#F4BE4E",
    cannot_mark="#CC79A7",
    cannot_text="#EBA9CC",
    bar="#070A0C",
    bar_text="#F3F1EA",
    bar_dim="#AEB7BB",
)

PRINT = Palette(
    bench="#FFFFFF",
    panel="#FFFFFF",
    panel_edge="#000000",
    well="#FFFFFF",
    paper="#FFFFFF",
    rule="#9A9A9A",
    kraft="#FFFFFF",
    kraft_text="#000000",
    ink="#000000",
    dim="#000000",
    faint="#4A4A4A",
    pencil="#5A5A5A",
    band="#C4C4C4",
    band_edge="#000000",
    in_mark="#000000",
    in_text="#000000",
    out_mark="#000000",
    out_text="#000000",
    close_mark="#FFFFFF",
    close_text="#000000",
    cannot_mark="#000000",
    cannot_text="#000000",
    bar="#000000",
    bar_text="#FFFFFF",
    bar_dim="#FFFFFF",
    plain=True,
)
