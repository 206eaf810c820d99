"""Where the command line starts, as `palewright` or `python -m palewright.cli`."""

from .endings import listen


def start() -> None:
    """Run the command line. What stops it is heard before anything else is loaded."""
    listen()
    from .main import main

    main()


if __name__ == "__main__":
    start()
