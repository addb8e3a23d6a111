"""``python -m taskdata``, and the command ``taskdata``."""

from signal import SIG_DFL, SIGINT, default_int_handler, getsignal, signal

if getsignal(SIGINT) is default_int_handler:
    signal(SIGINT, SIG_DFL)  # until a command runs nothing is begun: end at once, without the words of Python

from taskdata.cli import ignore_signals
from taskdata.cli import main as run


def main() -> None:
    """Run the program; its exit code stands from the moment that it has one."""
    try:
        run()
    except KeyboardInterrupt:  # it came when the run had ended and its exit code was on the way
        raise SystemExit(130) from None
    finally:
        ignore_signals()


if __name__ == "__main__":
    main()
