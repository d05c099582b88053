"""`python -m halfglass` is the command line."""

from halfglass.cli import main

if __name__ == "__main__":
    main()
