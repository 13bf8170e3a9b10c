"""`python -m pondsim` is the same as `pondsim`."""

from pondsim.cli import main

if __name__ == "__main__":
    main()
