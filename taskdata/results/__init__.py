"""What operations return and reports render: frozen records."""
