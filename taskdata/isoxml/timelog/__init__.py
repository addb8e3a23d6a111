"""Binary time logs of ISO 11783-10 (clause 8.6.3): layout, decoding, encoding and the log itself."""
