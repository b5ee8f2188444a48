"""Keys offered on the bench that depend on the link."""

from tests.services.rig import REQUEST, BenchRig


def presses(rig: BenchRig) -> set[str]:
    """The keys on the strip."""
    return {hint.press for hint in rig.view.keys}


def test_a_link_that_was_never_matched_offers_its_match() -> None:
    """F5 stands on the strip, at the leads and at a check, until the display was matched."""
    rig = BenchRig()
    rig.meter.connect(REQUEST)
    rig.bench.act("submit", "")
    assert "F5" in presses(rig)
    rig.bench.act("skip")
    rig.bench.act("skip")
    (hint,) = (hint for hint in rig.view.keys if hint.press == "F5")
    assert (hint.action, hint.main) == ("match", False)
    rig.meter.keep_match(rig.clock.now())
    assert "F5" not in presses(rig)


def test_without_a_link_there_is_nothing_to_match() -> None:
    """A shop that types is not asked to."""
    rig = BenchRig(meter=False)
    rig.past_the_start()
    assert "F5" not in presses(rig)
