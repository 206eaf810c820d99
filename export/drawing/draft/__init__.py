"""What drawings are made of: lines and texts, styles, scales, figures."""
