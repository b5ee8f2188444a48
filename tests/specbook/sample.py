"""Small sound profiles of an invented shop, and how to put one into its folder."""

from pathlib import Path

ENGINE = """\
key = "Z"
name = "Rotary test rig"
electronics = false
omit = ["low_oil"]
add = ["condenser"]

[choices]
application = ["other"]

[checks.coil_primary]
band = "0.6 ohm..1.3 ohm"
source = "common practice"
copper = true
probe_points = "stop tab to bare core"
volt_drop = true
"""

PROCEDURE = """\
key = "rig_bench"
title = "Rig bench"
version = "1"

[[check]]
key = "cap"
title = "Plug cap"
short = "Cap"
kind = "measure"
quantity = "resistance"
setting = "ohms"
touch = "one probe on each end"
probe_points = "end to end"
sketch = "cap"
option_group = "cap_marking"
option_question = "What is marked on it?"
options = [
  { key = "marked", text = "5 kΩ", band = "3 kohm..7 kohm", source = "marking", note = "5 kΩ" },
  { key = "unmarked", text = "no marking" },
]
cautions = ["engine_still"]
typical = "20 kohm"
obliges = "back"

[[check]]
key = "back"
title = "Cap back on"
short = "Back"
kind = "look"
touch = "cap and lead"
sketch = "look"
answers = [
  { key = "yes", text = "back" },
  { key = "no", text = "not yet" },
]
"""

CHECKS = """\
[[check]]
key = "rig_spin"
title = "Rig at speed"
short = "Spin"
kind = "run"
setting = "tachometer"
touch = "warm"
sketch = "tachometer"
option_group = "rig_load"
option_question = "What does it turn?"
options = [
  { key = "fan", text = "a fan", speeds = { low = "800 rpm..900 rpm", high = "1500 rpm..", \
fall = "..2 s", source = "common practice" } },
  { key = "none", text = "nothing" },
]
cautions = ["moving_parts"]

[check.run]
kind = "engine"
cycles = 2

[[check]]
key = "rig_heat"
title = "Rig coil, warmed"
short = "Heat"
kind = "run"
setting = "ohms"
touch = "clips on"
sketch = "coil_secondary"
cautions = ["hot_parts"]

[check.run]
kind = "heat"
part = "path"
ceiling = "80 °C"
cycles = 1
hold = "5 min"

[[check]]
key = "rig_drill"
title = "Rig has stopped"
short = "Drill"
kind = "run"
setting = "tester"
touch = "tester on"
sketch = "spark_tester"
obliges = "stop_wire_back"

[check.run]
kind = "drill"
drill = [
  { key = "spark", question = "Spark?", until = "30 s", answers = [
    { key = "yes", text = "yes" },
    { key = "no", text = "no" },
  ] },
  { key = "spark_isolated", question = "And now?", until = "45 s", after = ["spark:no"], answers = [
    { key = "yes", text = "yes" },
    { key = "none", text = "no" },
  ] },
]
"""

PICKS = """\
key = "rig_round"
title = "Rig round"
version = "1"
checks = [
  "lead_off",
  "cap",
  "stop_insulation",
  "stop_wire_back",
  "bell",
]

[[check]]
key = "bell"
title = "Rig bell"
short = "Bell"
kind = "look"
touch = "listen"
sketch = "look"
answers = [
  { key = "rings", text = "rings" },
  { key = "silent", text = "silent" },
]
"""

COMPLAINT = """\
key = "rattles"
name = "Rattles"
procedure = "ignition_bench"
questions = ["last_touched"]
"""

QUESTIONS = """\
[[question]]
key = "noise"
text = "What noise?"
answers = [
  { key = "loud", text = "Loud" },
  { key = "soft", text = "Soft" },
]
"""

CAUTIONS = """\
[[caution]]
key = "sharp_fins"
text = "Fins cut. The maker’s manual comes first."
short = "Fins cut"
"""

METER = """\
key = "test_meter"
name = "Test meter"
note = "invented figures"

[ranges]
resistance = [
  { full_scale = "200 ohm", step = "0.1 ohm", accuracy = "0.8% + 3" },
  { full_scale = "2 kohm", step = "1 ohm", accuracy = "0.8% + 3" },
]
"""

SOUND = {
    "engines": ENGINE,
    "checks": CHECKS,
    "procedures": PROCEDURE,
    "complaints": COMPLAINT,
    "questions": QUESTIONS,
    "cautions": CAUTIONS,
    "meters": METER,
}


def written(folder: Path, kind: str, text: str, name: str = "mine") -> Path:
    """Write a profile into the shop's folder."""
    path = folder / kind / f"{name}.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path
