"""The cloth in a picture: where it is, in what light it lies, its colours and its print."""
