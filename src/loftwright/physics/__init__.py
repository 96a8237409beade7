"""The laws, one subject a file: plain functions of numbers, each citing its source.

A *hot* law runs inside the flight kernel: floats in, floats out, ``math`` only, no exceptions,
no default arguments, few branches. A *cold* law is called outside it and may refuse nonsense.
Laws of shape (slopes, centres, wetted areas) are arithmetic throughout, so arrays may stand
where floats do.
"""
