"""``python -m loftwright``."""

from loftwright.cli.main import main

if __name__ == "__main__":
    main()
