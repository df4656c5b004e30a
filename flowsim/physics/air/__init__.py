"""Air: the standard atmosphere, bubbles in lines, the leak check."""
