"""The command line: a thin face on the other rooms. Nothing is computed here.

A command's module is imported when that command is asked for, and a command imports the rooms it
needs when it runs: ``--help`` needs click only, ``check`` no numeric library.
"""
