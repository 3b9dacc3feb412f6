"""A whole question as a document: answered without a stash, and how a project is handed on."""
