"""The ``glazecalc`` command, also as ``python -m glazecalc``: light, so that Ctrl-C is heard while it loads."""

import os
import signal
from types import FrameType

INTERRUPTED = 130


def run() -> None:
    """Run the command line; an interrupt ends it without a word at any moment, with exit code 130."""
    try:
        heard = signal.getsignal(signal.SIGINT) is signal.default_int_handler
        if heard:  # loading turns an interrupt into odd errors of whatever was being loaded
            signal.signal(signal.SIGINT, _leave)
        from glazecalc.cli.main import run as run_command

        if heard:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        run_command()
    except KeyboardInterrupt:
        os._exit(INTERRUPTED)


def _leave(number: int, frame: FrameType | None) -> None:
    os._exit(INTERRUPTED)


if __name__ == "__main__":
    run()
