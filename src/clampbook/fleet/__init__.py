"""One dataset of many books: tables of Parquet files, and the questions that they answer."""
