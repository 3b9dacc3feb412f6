"""One module per subject, one function per thing a person does."""
