"""`python -m benchtrail` is the same as the command `benchtrail`."""

from benchtrail.cli import main

if __name__ == "__main__":
    main()
