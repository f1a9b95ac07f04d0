"""One file a format: each takes what was found, none computes."""
