"""What is stored about people: told on a page, taken along as a file, erased for good."""
