"""What a user can do to the program, and what it promises then: a refusal in lines, whole results, the same bytes."""
