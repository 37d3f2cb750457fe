"""`python -m rootroom`."""

from rootroom.cli.run import main

main()
