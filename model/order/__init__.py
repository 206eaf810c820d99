"""What is bought and done: cutting, quantities, prices."""
