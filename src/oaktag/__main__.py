"""`python -m oaktag`: the same as the command `oaktag`."""

from .cli import main

if __name__ == "__main__":
    main()
