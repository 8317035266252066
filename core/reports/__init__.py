"""Where frames become sheets and drawings, without deciding anything; so far, blank templates."""
