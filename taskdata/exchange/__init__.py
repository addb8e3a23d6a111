"""Any source to the model, the model to any target; alone in choosing a reader by content."""
