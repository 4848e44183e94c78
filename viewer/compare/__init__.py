"""Before and after: two scenes held against each other, printed, as a document, as pictures and as a page."""
