"""What may be missing or taken for granted of the machines that worked."""

from __future__ import annotations

from taskdata.fieldwork.rules.rule_pages import page
from taskdata.findings import Rule, Severity

NO_WIDTH = Rule(
    id="coverage.no-width",
    severity=Severity.ERROR,
    message="Nothing says how wide the implement of {file} works, so no area can be computed from it.",
    remedy="Give the width with [[width_m]].",
    about=page(
        "The device description or the user gives a working width.",
        "A track without a width covers no area.",
        "The log of a simple guidance display, without a device description.",
        "Give the width with --width, and the position of the implement with --offset-back and --offset-right.",
    ),
)

NO_NAVIGATION = Rule(
    id="coverage.no-navigation",
    severity=Severity.WARNING,
    message=(
        "The position of the antenna of {file} is unknown; it is assumed to be at the reference point of the machine."
    ),
    remedy="Give the place of the implement with [[offset_back_m]] and [[offset_right_m]].",
    about=page(
        "A machine of the task has a navigation element, or the user gives the offset of the implement.",
        "Coverage is shifted by as much as the antenna is off.",
        "A device description without an element of type 7.",
        "Give the position of the implement with --offset-back and --offset-right.",
    ),
)

NO_OFFSET = Rule(
    id="coverage.no-offset",
    severity=Severity.NOTE,
    message="The position of the implement of {file} is unknown; it is assumed to be at the antenna.",
    remedy="Give its place with [[offset_back_m]] and [[offset_right_m]].",
    about=page(
        "The user gives the offset of an implement that nothing describes.",
        "Coverage is shifted by as much as the implement is off.",
        "A width given by hand for a bare track.",
        "Give the position of the implement with --offset-back and --offset-right.",
    ),
)

ASSUMED_JOINT = Rule(
    id="coverage.assumed-joint",
    severity=Severity.NOTE,
    message="The task does not say how the machines of {file} are connected; their only connectors are used.",
    remedy="Give the place of the implement with [[offset_back_m]] where that is wrong.",
    about=page(
        "A task says which connectors join its machines (CNN).",
        "The position of the implement depends on it; each machine has only one connector that fits, and these are "
        "used.",
        "A tractor with one rear hitch, and a sprayer with one connector, without CNN.",
        "Give the position of the implement with --offset-back and --offset-right.",
    ),
)

NO_JOINT = Rule(
    id="coverage.no-joint",
    severity=Severity.WARNING,
    message="How the machines of {file} are connected is unknown; the implement is assumed to be at the antenna.",
    remedy="Give its place with [[offset_back_m]] and [[offset_right_m]].",
    about=page(
        "A task says which connectors join its machines (CNN).",
        "Without it the implement may be metres from its computed position.",
        "A tractor with a front and a rear hitch, and no CNN.",
        "Give the position of the implement with --offset-back and --offset-right.",
    ),
)

BOOM_LEFT_OUT = Rule(
    id="coverage.boom-left-out",
    severity=Severity.NOTE,
    message="{name} works the same strip as a wider part of its machine; the area is counted once.",
    remedy="Nothing, if both work together.",
    about=page(
        "The working parts of a machine lie side by side.",
        "Two booms over the same strip, such as for seed and fertilizer, would count every spot twice.",
        "A drill whose seed and fertilizer bars are both described.",
        "Nothing, if both work together; its sections are not counted.",
    ),
)

DEVICE_LEFT_OUT = Rule(
    id="coverage.device-left-out",
    severity=Severity.WARNING,
    message="Log {file} does not say when {name} worked ({width} m wide); its area is not counted.",
    remedy="Count it with [[device]] where it worked.",
    about=page(
        "A log holds work states, widths or rates of every machine of its task that has a working width.",
        "The area that such a machine worked is missing from the figures, or was also worked by another one.",
        "A front mower that logs no work state, and a rear one that does.",
        "Count it alone with --device, or log its work state.",
    ),
)

SAME_STRIP = Rule(
    id="coverage.same-strip",
    severity=Severity.NOTE,
    message=(
        "{name} works the same strip as {others}; each is reported separately, and neither counts as working the "
        "other's area twice."
    ),
    remedy="Choose one with [[device]] where only that one matters.",
    about=page(
        "The machines of a log work side by side, so their areas belong together.",
        "A machine that follows another one over the same strip, such as a drill behind a seed-bed combination, does "
        "a separate operation: what one of them missed, the other may have worked.",
        "A drill of 3 m behind a combination of 3 m, each with a work state.",
        "Choose one with --device if only that one matters.",
    ),
)

ASSUMED_DELAY = Rule(
    id="coverage.assumed-delay",
    severity=Severity.WARNING,
    message=(
        "{name} states a delay of {seconds} s for what it logs in {file}; it is applied after the record, though the "
        "dictionary does not say in which direction."
    ),
    remedy="Give the delay with its sign with [[delay_s]], and compare where sections switch on the ground.",
    about=page(
        "The delay of logged values (DDI 143) has a known sign, given by the user.",
        "With the wrong sign, everything worked is shifted along the track by twice the delay times the speed.",
        "A sprayer that states 800 ms: 2 m at 9 km/h, forward or back.",
        "Drive over a known edge and see where the log switches; then give --delay 0.8 or --delay -0.8.",
    ),
)

RULES = (
    NO_WIDTH,
    NO_NAVIGATION,
    NO_OFFSET,
    ASSUMED_JOINT,
    NO_JOINT,
    BOOM_LEFT_OUT,
    DEVICE_LEFT_OUT,
    SAME_STRIP,
    ASSUMED_DELAY,
)
"""Every rule of this module."""
