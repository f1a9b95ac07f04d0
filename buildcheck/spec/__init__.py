"""From the text of a spec to checked plain data: positions, units, amounts, schema, spelling; refuses hostile input."""
