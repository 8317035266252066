"""Where frames become sheets and drawings, without deciding anything. No sheet is written yet."""
