"""`python -m cabdraw` is the command `cabdraw`."""

from cabdraw.cli import main

if __name__ == "__main__":
    main()
