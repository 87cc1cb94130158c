"""What is kept between runs: one reader and one writer for every small file of the user's."""
