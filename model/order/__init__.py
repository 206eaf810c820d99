"""What is bought and prepared: timber cut from stock, concrete, fixings, prices."""
