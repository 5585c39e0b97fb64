"""`python -m formgen`: the same as the command `formgen`."""

from formgen.cli import program

if __name__ == "__main__":
    program()
