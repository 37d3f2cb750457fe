"""`python -m rootroom.cli`."""

from rootroom.cli.app import main

main()
