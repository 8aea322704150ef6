"""`python -m pithline` does what the command `pithline` does."""

from pithline.cli import main

if __name__ == "__main__":
    main()
