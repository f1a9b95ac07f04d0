"""Convert the text of a spec to checked plain data: positions, units, amounts, schema, spelling; refuse hostile
input."""
