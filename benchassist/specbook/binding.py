"""Sheets to core values: a procedure with the bands and words of an engine class put in.

Raises UnitError where a text is no quantity; a shelf that passed its audit has none.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Final

from benchassist.core.accuracy import MeterRange
from benchassist.core.band import Band
from benchassist.core.procedure import (
    Answer,
    BandOption,
    Caution,
    Check,
    Complaint,
    EngineClass,
    MeterCard,
    Procedure,
    Question,
)
from benchassist.core.quantity import Quantity
from benchassist.specbook.fitting import fitted, summands
from benchassist.specbook.run_binding import plan_of
from benchassist.specbook.sheet import (
    AnswerSheet,
    BandSheet,
    CautionSheet,
    CheckSheet,
    ComplaintSheet,
    EngineSheet,
    MeterSheet,
    OptionSheet,
    Origin,
    ProcedureSheet,
    QuestionSheet,
)
from benchassist.units import read_accuracy, read_band, read_quantity

REFERENCE: Final = 20.0
"""Celsius that limits hold for where a profile says nothing else."""


class Binder:
    """Makes core values in the language of `translate`, with the cautions of one shelf."""

    def __init__(
        self, cautions: Mapping[str, CautionSheet], translate: Callable[[str], str]
    ) -> None:
        self._cautions = cautions
        self._translate = translate

    def _(self, text: str) -> str:
        # A catalogue answers the empty text with its own header.
        return self._translate(text) if text else ""

    def engine_class(self, sheet: EngineSheet) -> EngineClass:
        """The engine class as a list shows it."""
        return EngineClass(
            key=sheet.key, name=self._(sheet.name), description=self._(sheet.description)
        )

    def procedure(
        self, sheet: ProcedureSheet, picked: Iterable[CheckSheet], engine: EngineSheet
    ) -> Procedure:
        """The procedure for a class: the checks picked for it, in order, their bands and words."""
        checks = fitted(picked, engine)
        return Procedure(
            key=sheet.key,
            title=self._(sheet.title),
            complaint="",
            engine_class=engine.key,
            checks=tuple(self._check(check, checks, engine) for check in checks.values()),
            version=sheet.version,
            electronics=engine.electronics,
        )

    def complaint(self, sheet: ComplaintSheet, questions: Mapping[str, QuestionSheet]) -> Complaint:
        """The complaint with its interview."""
        return Complaint(
            key=sheet.key,
            name=self._(sheet.name),
            procedure=sheet.procedure,
            questions=tuple(self._question(questions[key]) for key in sheet.questions),
        )

    def card(self, sheet: MeterSheet) -> MeterCard:
        """The meter card with its ranges in base units."""
        return MeterCard(
            key=sheet.key,
            name=self._(sheet.name),
            protocol=sheet.protocol,
            source_note="; ".join((self._(sheet.note), *_notes_of_ranges(sheet))),
            ranges={
                quantity: tuple(
                    MeterRange(
                        full_scale=read_quantity(row.full_scale, quantity=quantity).value,
                        resolution=read_quantity(row.step, quantity=quantity).value,
                        accuracy=read_accuracy(row.accuracy),
                    )
                    for row in rows
                )
                for quantity, rows in sheet.ranges.items()
            },
        )

    def _question(self, sheet: QuestionSheet) -> Question:
        return Question(
            key=sheet.key,
            text=self._(sheet.text),
            answers=self._answers(sheet.answers),
            quantity=sheet.quantity,
        )

    def _answers(self, sheets: tuple[AnswerSheet, ...]) -> tuple[Answer, ...]:
        return tuple(Answer(key=a.key, text=self._(a.text), leaning=a.leaning) for a in sheets)

    def _check(
        self, sheet: CheckSheet, checks: Mapping[str, CheckSheet], engine: EngineSheet
    ) -> Check:
        parts = summands(sheet, checks, engine)
        options = self._options(sheet) if parts is None else self._sums(sheet, *parts)
        asks = sheet if parts is None else parts[1]
        quantity = sheet.quantity
        return Check(
            key=sheet.key,
            title=self._(sheet.title),
            short=self._(sheet.short),
            kind=sheet.kind,
            quantity=quantity,
            setting=self._(sheet.setting),
            touch=self._(sheet.touch),
            sketch=sheet.sketch.value,
            band=self._band(sheet, sheet) if sheet.band else None,
            options=options,
            option_group=asks.option_group if options else "",
            option_question=self._(asks.option_question) if options else "",
            answers=self._answers(sheet.answers),
            cautions=tuple(self.caution(key) for key in sheet.cautions),
            typical=read_quantity(sheet.typical, quantity=quantity).value
            if sheet.typical
            else None,
            expects_overload=sheet.expects_overload,
            polarities=sheet.polarities,
            volt_drop=sheet.volt_drop,
            pulses_per_rev=sheet.pulses_per_rev if quantity is Quantity.SPEED else None,
            obliges=sheet.obliges,
            why=self._(sheet.why),
            minutes=sheet.minutes,
            part=self._(sheet.part),
            accuracy=read_accuracy(sheet.accuracy) if sheet.accuracy else None,
            accuracy_note=self._(sheet.accuracy_note),
            run=plan_of(sheet, None, self._),
        )

    def caution(self, key: str) -> Caution:
        """A caution's words. Raises KeyError."""
        sheet = self._cautions[key]
        return Caution(key=key, text=self._(sheet.text), short=self._(sheet.short))

    def _options(self, check: CheckSheet) -> tuple[BandOption, ...]:
        return tuple(
            BandOption(
                key=option.key,
                text=self._(option.text),
                band=self._band(option, check) if option.band else None,
                run=plan_of(check, option.speeds, self._) if option.speeds else None,
            )
            for option in check.options
        )

    def _band(self, sheet: BandSheet, check: CheckSheet) -> Band:
        points = sheet.probe_points or check.probe_points
        return band_of(replace(sheet, probe_points=points), _quantity(check), self._)

    def _sums(
        self, check: CheckSheet, first: CheckSheet, second: CheckSheet
    ) -> tuple[BandOption, ...]:
        """The options of the second, each band added to that of the first."""
        return tuple(
            BandOption(
                key=option.key,
                text=self._(option.text),
                band=self._sum(check, first, option) if option.band else None,
            )
            for option in second.options
        )

    def _sum(self, check: CheckSheet, first: CheckSheet, option: OptionSheet) -> Band:
        """The sum of two bands. It is no copper band: only the first part follows the law."""
        quantity = _quantity(check)
        one = read_band(first.band, quantity=quantity)
        other = read_band(option.band, quantity=quantity)
        return Band(
            quantity=quantity,
            low=(one.low or 0.0) + (other.low or 0.0),
            high=None if one.high is None or other.high is None else one.high + other.high,
            source=(check.source or Origin.COMMON_PRACTICE).source,
            source_note=self._(check.note),
            reference_celsius=REFERENCE,
            probe_points=self._(check.probe_points),
        )


def band_of(sheet: BandSheet, quantity: Quantity, translate: Callable[[str], str]) -> Band:
    """A band as written, in core's terms. Raises UnitError for what cannot be read."""
    limits = read_band(sheet.band, quantity=quantity)
    reference = sheet.reference_celsius
    return Band(
        quantity=quantity,
        low=limits.low,
        high=limits.high,
        source=(sheet.source or Origin.COMMON_PRACTICE).source,
        source_note=translate(sheet.note) if sheet.note else "",
        reference_celsius=REFERENCE if reference is None else reference,
        copper=sheet.copper,
        probe_points=translate(sheet.probe_points) if sheet.probe_points else "",
    )


def _notes_of_ranges(sheet: MeterSheet) -> tuple[str, ...]:
    """Whose the accuracies are that are not the card's: '6 kohm: booklet, page 12'."""
    rows = (row for rows in sheet.ranges.values() for row in rows)
    return tuple(f"{row.full_scale}: {row.note}" for row in rows if row.note)


def _quantity(check: CheckSheet) -> Quantity:
    if check.quantity is None:
        raise ValueError(f"the check '{check.key}' has a band and no quantity")
    return check.quantity
