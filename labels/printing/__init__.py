"""From a finished PDF to a printer, a folder or pictures; and the proof that its barcodes read as the record says."""
