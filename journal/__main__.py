"""Run Galebook as ``python -m journal``."""

from journal.cli import main

main()
