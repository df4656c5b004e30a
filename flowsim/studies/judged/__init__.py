"""What is judged: attitudes, positions, quantities, temperatures; and the sweep over them."""
