"""One check: a quantity of one kind of subject, with one limit, and the changes that bring it inside."""
