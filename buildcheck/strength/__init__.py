"""Forces in what holds the axle, load cases, and handbook formulas for tubes, bolts and welds."""
