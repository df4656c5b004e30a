"""Routing: where the lines run, what they trap, how they are held and what they come near to."""
