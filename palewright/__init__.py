"""One small spec of a timber picket fence becomes solids, drawings and lists."""
