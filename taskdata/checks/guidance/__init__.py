"""Rules on guidance groups, patterns and shifts (GGP, GPN, GAN, GST)."""
