"""Starts the command line, nothing more."""

from watcher.commands.app import main

if __name__ == "__main__":
    main()
