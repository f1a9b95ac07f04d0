"""One check: a quantity of one kind of subject, held to one limit, with the changes that can bring it inside."""
