"""From the lossless document to the model: what cannot be read becomes a finding, the rest is there."""
