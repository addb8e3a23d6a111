"""What each command does, in one line: ``taskdata --help`` shows it without loading the commands."""

SHORT_HELP = {
    "batch": "Do one command with many sources, several at a time.",
    "catalogue": "Make one GeoParquet data set of an archive.",
    "check": "Check data sets against the standard and a receiving terminal.",
    "clean": "Repair what can be repaired without guessing.",
    "compare": "Show what differs between two data sets.",
    "convert": "Write a data set in another format.",
    "coverage": "Compute what was worked, missed and worked twice.",
    "inspect": "Show what is in data sets.",
    "merge": "Merge several data sets into one.",
    "passes": "Plan the parallel passes of a field.",
    "ratemap": "Make a planned task of a rate map.",
    "report": "Write a page with map, findings and figures.",
    "rules": "List the rules, or explain one.",
    "shift": "Move lines, a field or everything.",
    "workbench": "Open a local page: look, check, clean, choose, convert, save.",
}
