"""Forces in the supports of the axle, load cases, and handbook formulas for tubes, bolts and welds."""
