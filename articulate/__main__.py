"""`python -m articulate`."""

from articulate.cli import main

main()
