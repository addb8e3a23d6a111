"""What may be missing or taken for granted when coverage is reckoned."""

from __future__ import annotations

from taskdata.fieldwork.rules import machine_rules
from taskdata.fieldwork.rules.rule_pages import page
from taskdata.findings import Rule, Severity

NO_LOG = Rule(
    id="coverage.no-log",
    severity=Severity.WARNING,
    message="Task {name} has no log, so nothing is known of what it covered.",
    remedy="Choose a task that was driven.",
    about=page(
        "A task whose coverage is asked for has a log.",
        "What was covered is reckoned from logged positions.",
        "A task that is planned only.",
        "Choose a task that was driven.",
    ),
)

UNREADABLE_LOG = Rule(
    id="coverage.unreadable-log",
    severity=Severity.ERROR,
    message="Log {file} cannot be read, and is missing from the figures.",
    remedy="Copy both of its files again from where they came.",
    about=page(
        "Header and records of every log of a task are there.",
        "Ground that was worked in it is unknown, so that no figure of missed ground is given.",
        "TLG00002.XML without TLG00002.BIN.",
        "Copy both files again from where they came.",
    ),
)

EMPTY_LOG = Rule(
    id="coverage.empty-log",
    severity=Severity.WARNING,
    message="Log {file} holds no record, so nothing is known of what was done in it.",
    remedy="Copy it again from the terminal, if work was done.",
    about=page(
        "A log holds records.",
        "Without records nobody knows what was done: the ground is unknown, not missed.",
        "A task whose TLG00001.BIN has 0 bytes.",
        "Copy the file again from the terminal; a task that was only planned has none to copy.",
    ),
)

LOG_IN_PART = Rule(
    id="coverage.log-in-part",
    severity=Severity.ERROR,
    message="Log {file} {reason}. The figures speak of {start} to {end}; what was done otherwise is not known.",
    remedy="Copy the log again from where it came before you work anything that looks undone.",
    about=page(
        "The binary file of a log is there as a whole.",
        "Ground that was worked after the cut looks undone, so that no figure of missed ground is given.",
        "A TLG00001.BIN of which the stick kept the first half.",
        "Copy the file again; until then take the ground outside the figures for unknown.",
    ),
)

NO_POSITION = Rule(
    id="coverage.no-position",
    severity=Severity.ERROR,
    message="Log {file} has no position ({count} records), so no ground can be reckoned from it.",
    remedy="Check the receiver; times are reckoned all the same.",
    about=page(
        "A log has positions with a valid fix.",
        "Without positions nobody knows where work was done.",
        "A log whose records all have position status 0.",
        "Check the receiver and its connection.",
    ),
)

ONE_POSITION = Rule(
    id="coverage.one-position",
    severity=Severity.WARNING,
    message="Log {file} has positions of one place only, so nothing was swept.",
    remedy="Check whether the log broke off.",
    about=page(
        "The positions of a log are of more than one place.",
        "A bar that does not move covers nothing, and has no heading.",
        "A log of one record.",
        "Check whether the log broke off.",
    ),
)

NO_FIELD = Rule(
    id="coverage.no-field",
    severity=Severity.WARNING,
    message="Nothing says which field {name} was done on, so missed and outside ground are not known.",
    remedy="Give the field with [[field]].",
    about=page(
        "A task names a field with a boundary, or its positions lie in one.",
        "Missed ground is that of the field without what was worked.",
        "A task without a field, driven where no boundary lies.",
        "Give the field with --field, or add its boundary to the set.",
    ),
)

NO_BOUNDARY = Rule(
    id="coverage.no-boundary",
    severity=Severity.WARNING,
    message="Field {name} has no boundary, so missed and outside ground are not known.",
    remedy="Add its boundary to the set.",
    about=page(
        "The field of a task has a boundary with an area.",
        "Missed ground is that of the field without what was worked.",
        "A field that was named on the display and never driven round.",
        "Add its boundary to the set.",
    ),
)

GUESSED_FIELD = Rule(
    id="coverage.guessed-field",
    severity=Severity.NOTE,
    message="{element} names no field; most of its positions lie in {name}, which is taken.",
    remedy="Give another field with [[field]] where that is wrong.",
    about=page(
        "A task names its field.",
        "The field that most positions lie in is taken; it may be the wrong one where fields overlap.",
        "A log of a display that knows no tasks.",
        "Give the field with --field.",
    ),
)

KEPT_APART = Rule(
    id="coverage.kept-apart",
    severity=Severity.NOTE,
    message="{name} is not counted together with {others}: {reason}.",
    remedy="Name both with [[task]] to count them as one operation.",
    about=page(
        "Tasks on one field that are asked for together are one operation: the same product, the same practice or the "
        "same machines.",
        "Ground that two different operations worked is not double.",
        "Two sprayings of a field with different products.",
        "Name both tasks with --task to count them as one operation.",
    ),
)

NO_STATES = Rule(
    id="coverage.no-states",
    severity=Severity.NOTE,
    message="Log {file} holds no work states; taken for work: {what}.",
    remedy="Expect turns and ways to be counted as work where the machine did not log that it was off.",
    about=page(
        "A log holds work states (DDI 141 or 161 to 176) of what works.",
        "Without them it is not known when the implement was lifted or switched off.",
        "A track of positions alone.",
        "Have the work state logged, or cut turns off the track.",
    ),
)

STATE_ERROR = Rule(
    id="coverage.state-in-error",
    severity=Severity.WARNING,
    message="Log {file} has {count} records with a work state in error; it counts as off.",
    remedy="Check the sections of the machine.",
    about=page(
        "No work state is in error (2).",
        "What a section did at that time is not known.",
        "A section valve whose feedback is broken.",
        "Check the sections of the machine.",
    ),
)

POSITION_GAP = Rule(
    id="coverage.position-gap",
    severity=Severity.WARNING,
    message="Log {file} lacks positions while working ({count} x, {seconds} s in all); about {area} m² are missing.",
    remedy="Take missed ground there for unknown rather than missed.",
    about=page(
        "Positions go on while sections work.",
        "Where the machine went in a break is not known, and a straight way would invent ground.",
        "42 s without a fix beside a wood.",
        "Look at the missed places there before working them again.",
    ),
)

STRAY_POSITION = Rule(
    id="coverage.stray-position",
    severity=Severity.NOTE,
    message="Log {file} has single positions that jump off the way and back ({count} x); they are left out.",
    remedy="Check the receiver where there are many.",
    about=page(
        "No single position lies more than 3 m and five usual steps off the way between its neighbours.",
        "A way there and back would count ground that nobody worked.",
        "A position 30 m to the side in a pass at 2 m a second.",
        "Check the receiver where there are many.",
    ),
)

NO_TIME = Rule(
    id="coverage.no-time",
    severity=Severity.NOTE,
    message="{file} has no times, so speed, capacity and efficiency are not known.",
    remedy="Use the log itself where there is one.",
    about=page(
        "A log or track has times.",
        "Speed and capacity cannot be reckoned without them.",
        "A line drawn from a track.",
        "Use the log itself where there is one.",
    ),
)

CLOCK_SET_BACK = Rule(
    id="coverage.clock-set-back",
    severity=Severity.WARNING,
    message="The clock of {file} was set back ({count} x): {what}.",
    remedy="Each such interval is taken for one of usual length; check times where they matter.",
    about=page(
        "No stamp of a log lies below the one before it.",
        "How long that interval took is not known. It is taken for a usual one, and later stamps count from there, so "
        "that times, speed and capacity lose no more than that.",
        "The end of summer time during work: 02:59:59 is followed by 02:00:00.",
        "Have the clock set by the receiver, and mind the times of that log.",
    ),
)

LINE_AS_TRACK = Rule(
    id="coverage.line-as-track",
    severity=Severity.NOTE,
    message="There is no log; {name} is taken for the track that was driven.",
    remedy="Choose a source with logs where that is wrong.",
    about=page(
        "A source without logs has lines or points that may be a track.",
        "A guidance line is not always where somebody drove.",
        "A shapefile with a line of a day's driving.",
        "Choose a source with logs where that is wrong.",
    ),
)

RULES = (
    NO_LOG,
    UNREADABLE_LOG,
    EMPTY_LOG,
    LOG_IN_PART,
    NO_POSITION,
    ONE_POSITION,
    NO_FIELD,
    NO_BOUNDARY,
    GUESSED_FIELD,
    KEPT_APART,
    NO_STATES,
    STATE_ERROR,
    POSITION_GAP,
    STRAY_POSITION,
    NO_TIME,
    CLOCK_SET_BACK,
    LINE_AS_TRACK,
    *machine_rules.RULES,
)
"""Every rule of this folder."""
