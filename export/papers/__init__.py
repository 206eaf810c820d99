"""Documents to hand on: workbook, quotation, calculation, survey."""
