"""ISO 11783-10 file sets: facts, documents, binary files; bytes and XML to the model and back."""
