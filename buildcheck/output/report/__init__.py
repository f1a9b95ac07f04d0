"""The inspection report: one self-contained page, to look at, to print, and to hand over."""
