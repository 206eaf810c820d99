"""Lets `python -m palewright.cli` run the command line."""

from .main import main

main()
