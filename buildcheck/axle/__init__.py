"""Where the axle goes, and what holds it there: arrays in, arrays out, numpy alone."""
