"""The functions and types that a Python program uses; `buildcheck` itself offers all of them."""
