"""`python -m swingbeam.cli`."""

from . import main

if __name__ == "__main__":
    main()
