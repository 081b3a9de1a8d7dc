"""`python -m articulate`, and the command that is installed."""

import gc
import sys


def main() -> None:
    """Run the command; Ctrl-C ends it without a word, also while it is still being loaded."""
    # What a command makes stays to its end: to search all of it for cycles, again and again, takes 4 % of a report.
    gc.set_threshold(50_000, 100, 100)
    try:
        from articulate.cli import main as run  # noqa: PLC0415

        run()
    except KeyboardInterrupt:
        sys.exit(130)  # 128 and the number of the signal, as shells count
    finally:
        gc.freeze()  # what is left goes with the process: to search it for cycles takes a tenth of a short command


if __name__ == "__main__":
    main()
