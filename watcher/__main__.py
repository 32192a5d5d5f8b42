"""Starts the command line, nothing more."""

from watcher.cli import main

if __name__ == "__main__":
    main()
