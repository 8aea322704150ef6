"""The command: reads what was asked, calls the core, shows the answer."""

from pithline.cli.main import main

__all__ = ["main"]
