"""Motion of the steering, from the pitman arm to both wheels, over travel and lock: arrays in, arrays out."""
