"""`python -m validator` is the console command."""

from validator.cli import main

main()
