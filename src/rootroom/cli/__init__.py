"""The command line: which command was asked for; it prints and exits."""

from rootroom.cli.run import main

__all__ = ["main"]
