"""``python -m taskdata``."""

from taskdata.cli import main

main()
