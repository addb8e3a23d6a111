"""What may be missing or taken for granted when coverage is reckoned."""

from __future__ import annotations

from taskdata.fieldwork.rules import machine_rules
from taskdata.fieldwork.rules.rule_pages import page
from taskdata.findings import Rule, Severity

NO_LOG = Rule(
    id="coverage.no-log",
    severity=Severity.WARNING,
    message="Task {name} has no log, so nothing is known of what it covered.",
    remedy="Choose a task that was worked.",
    about=page(
        "A task whose coverage is asked for has a log.",
        "Coverage is computed from logged positions.",
        "A task that is only planned.",
        "Choose a task that was worked.",
    ),
)

UNREADABLE_LOG = Rule(
    id="coverage.unreadable-log",
    severity=Severity.ERROR,
    message="Log {file} cannot be read, and is missing from the figures.",
    remedy="Copy both of its files again from the original.",
    about=page(
        "Header and records of every log of a task are there.",
        "The area worked in it is unknown, so no missed area is given.",
        "TLG00002.XML without TLG00002.BIN.",
        "Copy both files again from the original.",
    ),
)

EMPTY_LOG = Rule(
    id="coverage.empty-log",
    severity=Severity.WARNING,
    message="Log {file} holds no record, so it is not known what was done.",
    remedy="Copy it again from the terminal, if work was done.",
    about=page(
        "A log holds records.",
        "Without records it is not known what was done: the area is unknown, not missed.",
        "A task whose TLG00001.BIN has 0 bytes.",
        "Copy the file again from the terminal; a task that was only planned has none to copy.",
    ),
)

LOG_IN_PART = Rule(
    id="coverage.log-in-part",
    severity=Severity.ERROR,
    message="Log {file} {reason}. The figures cover {start} to {end}; what else was done is unknown.",
    remedy="Copy the log again from the original before you work anything that looks missed.",
    about=page(
        "The binary file of a log is complete.",
        "The area worked after the cut looks missed, so no missed area is given.",
        "A TLG00001.BIN of which the stick kept the first half.",
        "Copy the file again; until then treat the area outside the figures as unknown.",
    ),
)

NO_POSITION = Rule(
    id="coverage.no-position",
    severity=Severity.ERROR,
    message="Log {file} has no position ({count} records), so no area can be computed from it.",
    remedy="Check the GNSS receiver; times are still computed.",
    about=page(
        "A log has positions with a valid fix.",
        "Without positions it is not known where work was done.",
        "A log whose records all have position status 0.",
        "Check the GNSS receiver and its connection.",
    ),
)

ONE_POSITION = Rule(
    id="coverage.one-position",
    severity=Severity.WARNING,
    message="Log {file} has only one position, so it covers no area.",
    remedy="Check whether the log broke off.",
    about=page(
        "A log has more than one position.",
        "An implement that does not move covers nothing and has no heading.",
        "A log of one record.",
        "Check whether the log broke off.",
    ),
)

NO_FIELD = Rule(
    id="coverage.no-field",
    severity=Severity.WARNING,
    message="The field of {name} is unknown, so the missed area and the area outside are not known.",
    remedy="Give the field with [[field]].",
    about=page(
        "A task names a field with a boundary, or its positions lie in one.",
        "The missed area is the field less what was worked.",
        "A task without a field, worked where there is no boundary.",
        "Give the field with --field, or add its boundary to the set.",
    ),
)

NO_BOUNDARY = Rule(
    id="coverage.no-boundary",
    severity=Severity.WARNING,
    message="Field {name} has no boundary, so the missed area and the area outside are not known.",
    remedy="Add its boundary to the set.",
    about=page(
        "The field of a task has a boundary with an area.",
        "The missed area is the field less what was worked.",
        "A field that was named on the display but never recorded.",
        "Add its boundary to the set.",
    ),
)

GUESSED_FIELD = Rule(
    id="coverage.guessed-field",
    severity=Severity.NOTE,
    message="{element} names no field; most of its positions lie in {name}, which is used.",
    remedy="Give another field with [[field]] where that is wrong.",
    about=page(
        "A task names its field.",
        "The field with most of the positions is used; it may be the wrong one where fields overlap.",
        "A log of a display that has no tasks.",
        "Give the field with --field.",
    ),
)

KEPT_APART = Rule(
    id="coverage.kept-apart",
    severity=Severity.NOTE,
    message="{name} is not counted together with {others}: {reason}.",
    remedy="Name both with [[task]] to count them as one operation.",
    about=page(
        "Tasks on one field that are counted together are one operation: the same product, practice or machines.",
        "An area that two different operations worked was not worked twice.",
        "Two sprayings of a field with different products.",
        "Name both tasks with --task to count them as one operation.",
    ),
)

NO_STATES = Rule(
    id="coverage.no-states",
    severity=Severity.NOTE,
    message="Log {file} holds no work states; counted as work: {what}.",
    remedy="Turns and transport count as work unless the machine logged that it was off.",
    about=page(
        "A log holds work states (DDI 141 or 161 to 176) of what works.",
        "Without them it is not known when the implement was lifted or switched off.",
        "A track of positions alone.",
        "Log the work state, or remove turns from the track.",
    ),
)

STATE_ERROR = Rule(
    id="coverage.state-in-error",
    severity=Severity.WARNING,
    message="Log {file} has {count} records with a work state in error, which count as off.",
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
    message="Log {file} lacks positions while working ({count} x, {seconds} s in all); about {area} m² is missing.",
    remedy="Treat missed spots there as unknown.",
    about=page(
        "Positions go on while sections work.",
        "Where the machine went during a break is not known, and a straight line would invent worked area.",
        "42 s without a fix beside a wood.",
        "Look at the missed spots there before you work them again.",
    ),
)

STRAY_POSITION = Rule(
    id="coverage.stray-position",
    severity=Severity.NOTE,
    message="Log {file} has single positions that jump off the track and back ({count} x); they are left out.",
    remedy="Check the GNSS receiver if there are many.",
    about=page(
        "No single position is more than 3 m and five usual steps off the line between its neighbours.",
        "The detour would count an area that nobody worked.",
        "A position 30 m to the side in a pass at 2 m a second.",
        "Check the GNSS receiver if there are many.",
    ),
)

NO_TIME = Rule(
    id="coverage.no-time",
    severity=Severity.NOTE,
    message="{file} has no times, so speed, capacity and efficiency are not known.",
    remedy="Use the log itself if there is one.",
    about=page(
        "A log or track has times.",
        "Speed and capacity cannot be computed without them.",
        "A line drawn from a track.",
        "Use the log itself if there is one.",
    ),
)

CLOCK_SET_BACK = Rule(
    id="coverage.clock-set-back",
    severity=Severity.WARNING,
    message="The clock of {file} was set back ({count} x): {what}.",
    remedy="Each such interval counts as one of usual length; check times if they matter.",
    about=page(
        "No time stamp of a log is before the previous one.",
        "The length of that interval is not known. It counts as a usual one, and later stamps count from there, so "
        "times, speed and capacity are off by no more than that.",
        "The end of summer time during work: 02:59:59 is followed by 02:00:00.",
        "Let the GNSS receiver set the clock, and treat the times of that log with care.",
    ),
)

LINE_AS_TRACK = Rule(
    id="coverage.line-as-track",
    severity=Severity.NOTE,
    message="There is no log; {name} counts as the track.",
    remedy="Choose a source with logs if that is wrong.",
    about=page(
        "A source without logs has lines or points that may be a track.",
        "A guidance line is not always where the machine drove.",
        "A shapefile with a line of a day's driving.",
        "Choose a source with logs if that is wrong.",
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
