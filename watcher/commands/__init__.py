"""The commands of `print-folder`: one file a command, with its options, its help and what it does.

In: what a person typed. Out: lines, tables or JSON on the screen, and an exit code. `app` puts the commands
together and turns every error into one plain line.
"""
