"""What may be missing or taken for granted of the machines that worked."""

from __future__ import annotations

from taskdata.fieldwork.rules.rule_pages import page
from taskdata.findings import Rule, Severity

NO_WIDTH = Rule(
    id="coverage.no-width",
    severity=Severity.ERROR,
    message="Nothing says how wide the implement of {file} works, so no ground can be reckoned from it.",
    remedy="Give the width with [[width_m]].",
    about=page(
        "The device description or the user gives a working width.",
        "Distance alone covers nothing.",
        "The log of a simple guidance display, without a device description.",
        "Give the width with --width, and the place of the implement with --offset-back and --offset-right.",
    ),
)

NO_NAVIGATION = Rule(
    id="coverage.no-navigation",
    severity=Severity.WARNING,
    message="Nothing says where the antenna of {file} is; it is taken to be at the reference point of the machine.",
    remedy="Give the place of the implement with [[offset_back_m]] and [[offset_right_m]].",
    about=page(
        "A machine of the task has a navigation element, or the user gives the offset of the implement.",
        "Coverage is shifted by as much as the antenna is off.",
        "A device description without an element of type 7.",
        "Give the place of the implement with --offset-back and --offset-right.",
    ),
)

NO_OFFSET = Rule(
    id="coverage.no-offset",
    severity=Severity.NOTE,
    message="Nothing says where the implement of {file} is; it is taken to be at the antenna.",
    remedy="Give its place with [[offset_back_m]] and [[offset_right_m]].",
    about=page(
        "The user gives the offset of an implement that nothing describes.",
        "Coverage is shifted by as much as the implement is off.",
        "A width given by hand for a bare track.",
        "Give the place of the implement with --offset-back and --offset-right.",
    ),
)

ASSUMED_JOINT = Rule(
    id="coverage.assumed-joint",
    severity=Severity.NOTE,
    message="The task does not say how the machines of {file} are joined; their only connectors are taken.",
    remedy="Give the place of the implement with [[offset_back_m]] where that is wrong.",
    about=page(
        "A task says by which connectors its machines are joined (CNN).",
        "The place of the implement hangs on it; each machine has but one connector that fits, and these are taken.",
        "A tractor with one rear hitch, and a sprayer with one connector, without CNN.",
        "Give the place of the implement with --offset-back and --offset-right.",
    ),
)

NO_JOINT = Rule(
    id="coverage.no-joint",
    severity=Severity.WARNING,
    message="Nothing says how the machines of {file} are joined; the implement is taken to be at the antenna.",
    remedy="Give its place with [[offset_back_m]] and [[offset_right_m]].",
    about=page(
        "A task says by which connectors its machines are joined (CNN).",
        "Without it the implement may lie metres from where it is reckoned.",
        "A tractor with a front and a rear hitch, and no CNN.",
        "Give the place of the implement with --offset-back and --offset-right.",
    ),
)

BOOM_LEFT_OUT = Rule(
    id="coverage.boom-left-out",
    severity=Severity.NOTE,
    message="{name} works the same ground as a wider part of its machine; the ground is counted once.",
    remedy="Nothing, where both work together.",
    about=page(
        "The working parts of a machine lie side by side.",
        "Two booms over the same strip, such as for seed and fertilizer, would count every place twice.",
        "A drill whose seed and fertilizer bars are both described.",
        "Nothing, where both work together; its sections are not looked at.",
    ),
)

DEVICE_LEFT_OUT = Rule(
    id="coverage.device-left-out",
    severity=Severity.WARNING,
    message="Log {file} does not say when {name} worked ({width} m wide); its ground is not counted.",
    remedy="Count it with [[device]] where it worked.",
    about=page(
        "A log holds work states, widths or rates of every machine of its task that has a working width.",
        "Ground that such a machine worked is missing from the figures, or was worked by another one all the same.",
        "A front mower that logs no work state, and a rear one that does.",
        "Count it alone with --device, or have its work state logged.",
    ),
)

SAME_STRIP = Rule(
    id="coverage.same-strip",
    severity=Severity.NOTE,
    message="{name} works the same strip as {others}; each is reported by itself, and the ground of one is not double "
    "for the other.",
    remedy="Choose one with [[device]] where only that one matters.",
    about=page(
        "The machines of a log lie side by side, so that their ground belongs together.",
        "What follows another machine over the same strip, as a drill behind a seed-bed combination, is an operation "
        "of its own: what one of them left undone, the other may have done.",
        "A drill of 3 m behind a combination of 3 m, each with a work state.",
        "Choose one with --device where only that one matters.",
    ),
)

ASSUMED_DELAY = Rule(
    id="coverage.assumed-delay",
    severity=Severity.WARNING,
    message="{name} states a delay of {seconds} s for what it logs in {file}; it is taken to count from the record on, "
    "though the dictionary does not say which way.",
    remedy="Give the delay with its sign with [[delay_s]], and compare where sections switch on the ground.",
    about=page(
        "The delay of logged values (DDI 143) has a known sign, given by the user.",
        "Taken the wrong way, everything that was worked lies twice the delay, times the speed, too far ahead or back.",
        "A sprayer that states 800 ms: 2 m at 9 km/h, to one side or the other.",
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
