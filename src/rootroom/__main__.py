"""`python -m rootroom`."""

from rootroom.cli.app import main

main()
