"""`python -m buildcheck`: the same as the command `buildcheck`."""

from buildcheck.commands.main import main

main()
