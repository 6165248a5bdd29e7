"""`python -m handfast`, where the command itself is not installed."""

from handfast.cli.main import main

if __name__ == "__main__":
    main(prog_name="handfast")
