"""Will it stand: wind, timber, fixings and ground, by published methods. Advice, not a design."""
