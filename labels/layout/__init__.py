"""Label stock, boxes, text fitting and PDF."""
