"""`python -m rootroom.cli`."""

from rootroom.cli.run import main

main()
