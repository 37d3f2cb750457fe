"""The command line: which command was asked for; it prints and exits."""

from rootroom.cli.app import main

__all__ = ["main"]
