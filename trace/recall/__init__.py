"""What to do about it: answers to buyers and authorities, and what is sent to them."""
