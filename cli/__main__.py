"""Where the command line starts, as `palewright` or `python -m palewright.cli`."""

from .endings import leave, listen


def start() -> None:
    """Run the command line. What stops it is heard before anything else is loaded, to the end."""
    listen()
    from .main import main

    try:
        main()
    except SystemExit as end:
        leave(end.code)


if __name__ == "__main__":
    start()
